namespace Phasekeeper.Core.Trackers;

/// <summary>Angle between Sun and orbital plane.</summary>
public sealed class BetaAngleTracker : ITracker
{
    /// <inheritdoc/>
    public TrackerInfo Info { get; } = new("beta-angle", "Beta angle", "deg", false, false,
        "Angle between the direction to the Sun and the orbital plane at the middle of the orbit.",
        "Season and the precession of the orbital plane; predictable.",
        "Nothing to do: plot the thermal trackers against it before calling a change a fault.");

    /// <inheritdoc/>
    public TrackerBaseline Baseline => TrackerBaseline.None;

    /// <inheritdoc/>
    public void Compute(OrbitAnalysis orbit, TrackerOutput output)
    {
        if (orbit.Input.Setting is { } s) output.Add(null, null, s.BetaDeg, double.NaN, 1);
    }
}

/// <summary>Share of the orbit in shadow.</summary>
public sealed class EclipseFractionTracker : ITracker
{
    /// <inheritdoc/>
    public TrackerInfo Info { get; } = new("eclipse-fraction", "Eclipse fraction", "1", false, false,
        "Part of the orbit that the satellite spends in the Earth's shadow.",
        "Beta angle and altitude; predictable.",
        "Nothing to do: it sets the temperature swing that the thermal correction must follow.");

    /// <inheritdoc/>
    public TrackerBaseline Baseline => TrackerBaseline.None;

    /// <inheritdoc/>
    public void Compute(OrbitAnalysis orbit, TrackerOutput output)
    {
        if (orbit.Input.Setting is { EclipseFraction: { } fraction }) output.Add(null, null, fraction, double.NaN, 1);
    }
}
