using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Pipeline.Mission;

namespace Phasekeeper.Pipeline.Coefficients.Fits;

/// <summary>
/// A tracker behind a number of the set, and how its values go on over a change of the set. A value is relative to the set that made it; where another set differs in the reference alone, the value with its reference
/// follows exactly, and where it differs in anything else that the tracker's measurement stands on, it does not: the series then begins at that change.
/// </summary>
internal sealed record AgeingTracker
{
    /// <summary>Tracker id.</summary>
    public required string Tracker { get; init; }
    /// <summary>The number, as in <see cref="CoefficientNumber"/>.</summary>
    public required string Number { get; init; }
    /// <summary>The same optics with everything alike that the tracker does not stand on, or whose change <see cref="Carried"/> takes along.</summary>
    public required Func<OpticsCoefficients, OpticsCoefficients> Blind { get; init; }
    /// <summary>The same set with everything else alike that the tracker does not stand on.</summary>
    public Func<CoefficientSet, CoefficientSet> BlindSet { get; init; } = s => s;
    /// <summary>From a value made with the first optics to that which the second would have made: factor and addition.</summary>
    public Func<OpticsCoefficients, OpticsCoefficients, (double Factor, double Plus)> Carried { get; init; } = (_, _) => (1, 0);
    /// <summary>Change of the number for a change of the tracker by one.</summary>
    public Func<OpticsCoefficients, double> Scale { get; init; } = _ => 1;

    // No tracker here stands on the zero of the wind, nor on what lamp and visibility are compared with, but for the reference that is its own.
    private static OpticsCoefficients WithoutReferences(OpticsCoefficients o) => o with { ZeroWindRad = [], LampPhaseRad = 0, LampElectrons = 0, LampVisibility = 0, Visibility = 0 };

    // What is subtracted from all samples of a row alike moves no phase of it.
    private static CoefficientSet WithoutDark(CoefficientSet s) => s with { Dark = new(0, 0, 0, 0) };

    private static OpticsCoefficients OfAmplitude(OpticsCoefficients o) => WithoutReferences(o) with { Thermal = new(0, 0, 0), LampRatio = 1 };

    /// <summary>All, in the order in which fits tell of them.</summary>
    public static IReadOnlyList<AgeingTracker> All { get; } =
    [
        // The slope is fitted with the offset free, and comes out the same whatever slope was approved.
        new() { Tracker = "thermal-slope", Number = "optics.thermal.radPerK", Blind = o => WithoutReferences(o) with { Thermal = o.Thermal with { RadPerK = 0, ReferenceC = 0 } }, BlindSet = WithoutDark },
        // The approved lag is where the search begins.
        new() { Tracker = "thermal-lag", Number = "optics.thermal.lagS", Blind = o => WithoutReferences(o) with { Thermal = new(0, 0, 0) }, BlindSet = WithoutDark },
        // ρ·(phase − reference) − k·(T_lag − T_ref): the reference joins, slope, lag, T_ref and ρ do not. The lamp's phase moves by the airglow's drift over ρ.
        new() { Tracker = "lamp-offset", Number = "optics.lampPhaseRad", Blind = WithoutReferences, BlindSet = WithoutDark, Carried = (made, now) => (1, now.LampRatio * (made.LampPhaseRad - now.LampPhaseRad)), Scale = o => 1 / o.LampRatio },
        new() { Tracker = "scene-visibility", Number = "optics.visibility", Blind = OfAmplitude, Carried = (made, now) => (made.Visibility / now.Visibility, 0), Scale = o => o.Visibility },
        new() { Tracker = "lamp-visibility", Number = "optics.lampVisibility", Blind = OfAmplitude, Carried = (made, now) => (made.LampVisibility / now.LampVisibility, 0), Scale = o => o.LampVisibility },
        new() { Tracker = "lamp-brightness", Number = "optics.lampElectrons", Blind = OfAmplitude, Carried = (made, now) => (made.LampElectrons / now.LampElectrons, 0), Scale = o => o.LampElectrons },
        // Measured above the bias and told at the reference temperature by the doubling; the approved rate is only compared with.
        new() { Tracker = "dark-rate", Number = "dark.rateElectronsPerS", Blind = o => OfAmplitude(o) with { DistortionRad = [], EnvelopeM1 = 0, EnvelopeM2 = 0 }, BlindSet = s => s with { Dark = s.Dark with { RateElectronsPerS = 0 }, ImageShift = [] } },
        // Fiducials against the bench temperature; the approved law is only compared with.
        new() { Tracker = "image-shift-slope", Number = "imageShift.samplesPerK", Blind = OfAmplitude, BlindSet = s => s with { ImageShift = [] } },
    ];

    /// <summary>True when values of the two sets differ by what <see cref="Carried"/> says, and by nothing else, in a view and line (null: all).</summary>
    public bool Joins(CoefficientSet a, CoefficientSet b, string? view, string? line) => Text(a, view, line) == Text(b, view, line);

    // Bad samples are left out: a sample that is masked makes a row noisier and moves no value.
    private string Text(CoefficientSet set, string? view, string? line) => CoefficientPackage.Write(BlindSet(set) with
    {
        Name = "",
        ValidFrom = default,
        BadSamples = [],
        Optics = [.. set.Optics.Where(o => (view is null || o.View == view) && (line is null || o.Line == line)).Select(Blind)],
    });

    /// <summary>
    /// The newest values of a series as the set of the newest one would have made them, back to the last change of the set that cannot be joined.
    /// </summary>
    /// <param name="values">Values of the series, ascending.</param>
    /// <param name="key">The series.</param>
    /// <param name="coefficients">Sets that the values were made with.</param>
    public IReadOnlyList<TrackerValue> Joined(IReadOnlyList<TrackerValue> values, SeriesKey key, CoefficientTimeline coefficients)
    {
        if (values.Count == 0 || coefficients.At(values[^1].Time) is not { } newest) return values;
        var known = new Dictionary<long, (double Factor, double Plus)?>();
        var joined = new List<TrackerValue>();
        foreach (var value in values.Reverse())
        {
            if (coefficients.At(value.Time) is not { } made) break;
            if (!known.TryGetValue(made.SetId, out var how)) known[made.SetId] = how = How(made.Set, newest.Set, key);
            if (how is not { } h) break;
            joined.Add(h == (1, 0) ? value : value with { Value = h.Factor * value.Value + h.Plus, Sigma = Math.Abs(h.Factor) * value.Sigma });
        }
        joined.Reverse();
        return joined;
    }

    private (double Factor, double Plus)? How(CoefficientSet made, CoefficientSet now, SeriesKey key)
    {
        if (!Joins(made, now, key.View, key.Line)) return null;
        return key is { View: { } view, Line: { } line } && made.OpticsOf(view, line) is { } a && now.OpticsOf(view, line) is { } b ? Carried(a, b) : (1, 0);
    }
}
