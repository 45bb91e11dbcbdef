using Phasekeeper.Core.Coefficients.Fits;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Coefficients.Evidence;

/// <summary>
/// What a proposed set would change, computed from the archive with both sets by the ordinary code: the one document that a decision stands on. Orbits that are looked at are the fit's own, and others that the fit has
/// not seen (held out); of a set made by hand all are held out.
/// </summary>
public sealed record ProposalEvidence
{
    /// <summary>Version of this document's form.</summary>
    public int Version { get; init; } = 1;
    /// <summary>The set in force where the proposed one is meant to begin, that it is compared with: id.</summary>
    public required long Against { get; init; }
    /// <summary>Its name.</summary>
    public required string AgainstName { get; init; }
    /// <summary>Orbits that the fit used and that were looked at here, ascending; empty for a set made by hand.</summary>
    public required IReadOnlyList<int> FittedOrbits { get; init; }
    /// <summary>Orbits that no fit used and that lie among those of the fit, ascending; for a set made by hand all that were looked at.</summary>
    public required IReadOnlyList<int> HeldOutOrbits { get; init; }
    /// <summary>Orbits that no fit used, later than all that it used, ascending; empty for a set made by hand, and in evidence that was computed before they were held out.</summary>
    public IReadOnlyList<int> HeldOutLaterOrbits { get; init; } = [];
    /// <summary>Numbers of the fit with their σ; empty for a set made by hand.</summary>
    public IReadOnlyList<FittedNumber> Numbers { get; init; } = [];
    /// <summary>Samples added to the map of bad samples.</summary>
    public IReadOnlyList<BadSample> NewBadSamples { get; init; } = [];
    /// <summary>Residuals of measurements with both sets.</summary>
    public required IReadOnlyList<ResidualChange> Residuals { get; init; }
    /// <summary>The same orbit by orbit, for the plot.</summary>
    public required IReadOnlyList<ResidualOrbit> ResidualOrbits { get; init; }
    /// <summary>What winds would change by, all altitudes and latitudes together.</summary>
    public required IReadOnlyList<WindChangeGroup> WindsByView { get; init; }
    /// <summary>By altitude.</summary>
    public required IReadOnlyList<WindChangeGroup> WindsByAltitude { get; init; }
    /// <summary>By latitude.</summary>
    public required IReadOnlyList<WindChangeGroup> WindsByLatitude { get; init; }
    /// <summary>Orbits whose winds were made with both sets.</summary>
    public required IReadOnlyList<int> WindOrbits { get; init; }
    /// <summary>Winds that are bad with the set in force and would not be.</summary>
    public int WindsGained { get; init; }
    /// <summary>Winds that would become bad.</summary>
    public int WindsLost { get; init; }
    /// <summary>Flags on the orbits looked at that would appear.</summary>
    public IReadOnlyList<FlagOutlook> FlagsAppearing { get; init; } = [];
    /// <summary>Flags on the orbits looked at that would vanish.</summary>
    public IReadOnlyList<FlagOutlook> FlagsVanishing { get; init; } = [];
    /// <summary>Series of trackers whose charts went on from the orbits before, for the flags; null in evidence that was computed before this was told.</summary>
    public int? FlagSeriesContinued { get; init; }
    /// <summary>Series whose charts began anew with both sets, since values of the orbits before cannot be told for the proposed one.</summary>
    public int? FlagSeriesBegunAnew { get; init; }
    /// <summary>What approving would make again.</summary>
    public required ReprocessingOutlook Reprocessing { get; init; }
    /// <summary>What to weigh.</summary>
    public IReadOnlyList<FitWarning> Warnings { get; init; } = [];
    /// <summary>Time that the computation took, s.</summary>
    public double ComputedInS { get; init; }
    /// <summary>What it rests on; null in evidence of before this was written down.</summary>
    public EvidenceGround? Ground { get; init; }
}

/// <summary>Residuals of one kind of measurement with the set in force and with the proposed one. Means and root mean squares are over orbits' residuals: measured minus what the set's law alone says.</summary>
/// <param name="Measure">lamp, image-shift, dark, scene, visibility…: see <see cref="ResidualMeasures"/>.</param>
/// <param name="View">View; null where it does not apply.</param>
/// <param name="Line">Line; null where it does not apply.</param>
/// <param name="Unit">Unit of the numbers (m/s where it is a phase).</param>
/// <param name="Fitted">On the orbits of the fit; null for none.</param>
/// <param name="HeldOut">On the orbits held out among those of the fit (set made by hand: all); null for none.</param>
public sealed record ResidualChange(string Measure, string? View, string? Line, string Unit, ResidualFigures? Fitted, ResidualFigures? HeldOut)
{
    /// <summary>On the orbits held out that are later than all of the fit; null for none.</summary>
    public ResidualFigures? HeldOutLater { get; init; }
}

/// <summary>Residuals with both sets.</summary>
/// <param name="Orbits">Orbits.</param>
/// <param name="Points">Residuals with the proposed set.</param>
/// <param name="RmsBefore">Root mean square with the set in force; NaN where no orbit has the measure with both sets.</param>
/// <param name="RmsAfter">With the proposed set.</param>
/// <param name="MeanBefore">Mean with the set in force.</param>
/// <param name="MeanAfter">With the proposed set.</param>
/// <param name="RatioSigma">1σ of RmsAfter / RmsBefore from the scatter between orbits; NaN where it cannot be told.</param>
public sealed record ResidualFigures(int Orbits, int Points, double RmsBefore, double RmsAfter, double MeanBefore, double MeanAfter, double RatioSigma)
{
    /// <summary>Measurements (detector rows of scenes, winds, else exposures) with the set in force, on all orbits; null in evidence that was computed before they were counted.</summary>
    public int? MeasuredBefore { get; init; }
    /// <summary>Measurements with the proposed set.</summary>
    public int? MeasuredAfter { get; init; }
    /// <summary>Measurements that the proposed set loses, summed over the orbits that lose some: what others gain makes up for none.</summary>
    public int Lost { get; init; }
    /// <summary>The orbit that loses most; null where none does.</summary>
    public int? MostLostOrbit { get; init; }

    /// <summary>Share of the measurements that the proposed set loses, 0…1; 0 where they were not counted.</summary>
    public double LostShare() => MeasuredBefore > 0 ? (double)Lost / MeasuredBefore.Value : 0;
}

/// <summary>Residuals of one orbit.</summary>
/// <param name="Orbit">Orbit.</param>
/// <param name="Time">Its start.</param>
/// <param name="HeldOut">True: the fit has not seen it.</param>
/// <param name="Measure">See <see cref="ResidualChange"/>.</param>
/// <param name="View">View.</param>
/// <param name="Line">Line.</param>
/// <param name="RmsBefore">Root mean square with the set in force.</param>
/// <param name="RmsAfter">With the proposed set.</param>
public sealed record ResidualOrbit(int Orbit, Instant Time, bool HeldOut, string Measure, string? View, string? Line, double RmsBefore, double RmsAfter)
{
    /// <summary>True: held out, and later than all orbits of the fit.</summary>
    public bool Later { get; init; }
}

/// <summary>Words for kinds of residuals.</summary>
public static class ResidualMeasures
{
    /// <summary>Corrected scene phase, one median an orbit, m/s: zero wind, distortion and whatever else moves all winds; the orbit's mean wind is in it.</summary>
    public const string ScenePhase = "scene-phase";
    /// <summary>First line minus second where both have a phase in the same row of the same exposure, one median an orbit, m/s: what is not common to the lines, without most of the wind.</summary>
    public const string GreenRed = "green-red";
    /// <summary>The part of the scene phase that follows T_lag over the orbit, m/s: slope, lag and lamp ratio, also where both lines are off alike; the winds' change from day to night is in it.</summary>
    public const string SceneTemperature = "scene-temperature";
    /// <summary>The tracker of the lines' difference of winds, on orbits whose winds were made, m/s.</summary>
    public const string WindGreenRed = "wind-green-red";
    /// <summary>The part of the lines' difference of winds that follows T_lag over the orbit, on orbits whose winds were made, m/s: slope, lag and lamp ratio of one line against the other's.</summary>
    public const string WindGreenRedTemperature = "wind-green-red-temperature";
    /// <summary>The tracker of the two legs' difference of eastward winds, on orbits whose winds were made, m/s: tides are in it.</summary>
    public const string WindLegs = "wind-legs";
    /// <summary>Lamp drift minus k·(T_lag − T_ref), m/s of the airglow line: with its mean, which the lamp reference is about.</summary>
    public const string Lamp = "lamp";
    /// <summary>The same about each orbit's mean, m/s: slope and lag.</summary>
    public const string LampWithinOrbit = "lamp-within-orbit";
    /// <summary>Image shift minus its law, samples.</summary>
    public const string ImageShift = "image-shift";
    /// <summary>Dark signal minus its law, e⁻/s per sample.</summary>
    public const string Dark = "dark";
    /// <summary>Scene visibility relative to its reference, minus 1.</summary>
    public const string SceneVisibility = "scene-visibility";
    /// <summary>Lamp visibility relative to its reference, minus 1.</summary>
    public const string LampVisibility = "lamp-visibility";
    /// <summary>Lamp brightness relative to its reference, minus 1.</summary>
    public const string LampBrightness = "lamp-brightness";

    /// <summary>False where the air itself is in the residual with nothing to tell it apart: it shows by how much a set moves the winds, and a smaller one is no better.</summary>
    public static bool IsJudged(string measure) => measure is not (ScenePhase or SceneTemperature or WindLegs);

    /// <summary>
    /// What the air does to a residual that is judged, m/s: a smaller change says nothing (chosen: on the demo's orbits the lines' difference of scenes lay up to 4 m/s from nothing with the right zero winds, since the lines see
    /// other heights along a ray; that of winds at one height up to 1 m/s); 0 for lamps, fiducials and darks.
    /// </summary>
    public static double AirMs(string measure) => measure switch
    {
        GreenRed => 5,
        WindGreenRed or WindGreenRedTemperature => 2,
        _ => 0,
    };
}

/// <summary>A flag that would appear or vanish.</summary>
/// <param name="Rule">Rule id.</param>
/// <param name="Severity">Severity.</param>
/// <param name="Subject">What it is about.</param>
/// <param name="View">View; null = all.</param>
/// <param name="Line">Line; null = all.</param>
/// <param name="FirstOrbit">First orbit.</param>
/// <param name="LastOrbit">Last orbit.</param>
/// <param name="Text">The flag's sentence.</param>
public sealed record FlagOutlook(string Rule, string Severity, string Subject, string? View, string? Line, int? FirstOrbit, int? LastOrbit, string Text);

/// <summary>What approving would make again.</summary>
/// <param name="FromOrbit">First orbit; null where none is known.</param>
/// <param name="ToOrbit">Last orbit.</param>
/// <param name="Orbits">Number of orbits with data.</param>
/// <param name="Days">UTC days touched, in order.</param>
/// <param name="EstimatedS">Time that it takes, s; NaN where nothing tells the pace.</param>
/// <param name="Basis">What the estimate stands on, words.</param>
/// <param name="SecondsAnOrbit">Pace that was measured when it was made, s an orbit; NaN where none was.</param>
public sealed record ReprocessingOutlook(int? FromOrbit, int? ToOrbit, int Orbits, IReadOnlyList<DateOnly> Days, double EstimatedS, string Basis, double SecondsAnOrbit = double.NaN);
