using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Mission;

namespace Phasekeeper.Pipeline.Coefficients.Trials;

/// <summary>
/// Which numbers of a set the retrieval of fringes reads: dark law, flat, distortion, envelope, zero-wind phases, bad samples and the image-shift law. The others (thermal law, the lamp's reference, reference
/// visibilities) come in behind it, so sets that differ in them alone give the same fringes, and nothing need be retrieved again.
/// </summary>
public static class RetrievalNumbers
{
    /// <summary>True when both sets give the same fringes, bit for bit.</summary>
    public static bool Same(CoefficientSet a, CoefficientSet b) => CoefficientPackage.Write(Without(a)) == CoefficientPackage.Write(Without(b));

    /// <summary>The set with the same value in every number that the retrieval does not read.</summary>
    public static CoefficientSet Without(CoefficientSet set)
    {
        ArgumentNullException.ThrowIfNull(set);
        return set with
        {
            Name = "",
            ValidFrom = default(Instant),
            Optics = [.. set.Optics.Select(o => o with { Thermal = new ThermalLaw(0, 0, 0), LampRatio = 1, LampPhaseRad = 0, LampElectrons = 0, LampVisibility = 1, Visibility = 1 })],
        };
    }
}
