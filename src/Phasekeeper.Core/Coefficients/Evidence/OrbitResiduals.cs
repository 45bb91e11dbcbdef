using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;

namespace Phasekeeper.Core.Coefficients.Evidence;

/// <summary>As what an orbit is looked at.</summary>
public enum OrbitUse
{
    /// <summary>The fit has used it.</summary>
    Fitted,
    /// <summary>The fit has not seen it, and it lies among orbits of the fit; every orbit looked at for a set made by hand.</summary>
    HeldOut,
    /// <summary>The fit has not seen it, and it is later than all that the fit has seen: as the orbits on which the set will be used.</summary>
    HeldOutLater,
}

/// <summary>One orbit's residuals with both sets.</summary>
/// <param name="Orbit">Orbit.</param>
/// <param name="Start">Its start.</param>
/// <param name="Use">As what it is looked at.</param>
/// <param name="Before">With the set in force.</param>
/// <param name="After">With the proposed one.</param>
public sealed record OrbitResiduals(int Orbit, Instant Start, OrbitUse Use, IReadOnlyList<OrbitResidual> Before, IReadOnlyList<OrbitResidual> After)
{
    /// <summary>The residuals of measurements of an orbit.</summary>
    /// <exception cref="ArgumentException">The two are not of the same orbit.</exception>
    public static OrbitResiduals Of(OrbitAnalysis before, OrbitAnalysis after, OrbitUse use)
    {
        ArgumentNullException.ThrowIfNull(before);
        ArgumentNullException.ThrowIfNull(after);
        if (before.Input.Orbit != after.Input.Orbit)
            throw new ArgumentException($"Orbit {before.Input.Orbit} was to be compared with orbit {after.Input.Orbit}; expected the same orbit with both sets.", nameof(after));
        return new(before.Input.Orbit, before.Input.Start, use, ProposalResiduals.Of(before), ProposalResiduals.Of(after));
    }
}
