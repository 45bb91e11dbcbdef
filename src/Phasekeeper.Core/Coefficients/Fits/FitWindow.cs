using Phasekeeper.Core.Instrument;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;

namespace Phasekeeper.Core.Coefficients.Fits;

/// <summary>The orbits of a fit, in order of time whatever order they came in.</summary>
internal sealed class FitWindow
{
    public FitWindow(CoefficientSet from, InstrumentModel instrument, IReadOnlyList<OrbitInput> orbits)
    {
        if (orbits.Count == 0) throw new ArgumentException("A fit was asked for over no orbit; expected at least one.", nameof(orbits));
        if (orbits.GroupBy(o => o.Orbit).FirstOrDefault(g => g.Count() > 1) is { } twice)
            throw new ArgumentException($"Orbit {twice.Key} was given {twice.Count()} times to a fit; expected each orbit once.", nameof(orbits));
        (Set, Instrument) = (from, instrument);
        Orbits = [.. orbits.OrderBy(o => o.Start).ThenBy(o => o.Orbit).Select(o => new OrbitAnalysis(o with { Coefficients = from, Instrument = instrument }))];
    }

    /// <summary>The set that the fit begins from.</summary>
    public CoefficientSet Set { get; }

    /// <summary>The instrument.</summary>
    public InstrumentModel Instrument { get; }

    /// <summary>One an orbit, ascending.</summary>
    public IReadOnlyList<OrbitAnalysis> Orbits { get; }

    /// <summary>Views and lines with coefficients.</summary>
    public IReadOnlyList<OpticalChannel> Channels => Orbits[0].Channels;

    /// <summary>Start of the first orbit.</summary>
    public Instant Start => Orbits[0].Input.Start;

    /// <summary>End of the last one.</summary>
    public Instant End => Orbits.Max(o => o.Input.End);
}
