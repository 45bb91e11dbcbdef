using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Comparison;

/// <summary>What is compared.</summary>
public enum ComparedWind
{
    /// <summary>Wind along the line of sight of one view, with the independent wind projected onto the look: judges each view alone.</summary>
    LineOfSight,
    /// <summary>Eastward wind of the wind vector.</summary>
    Eastward,
    /// <summary>Northward wind of the wind vector.</summary>
    Northward,
}

/// <summary>How the independent column was brought to our altitude.</summary>
public enum ColumnSampling
{
    /// <summary>Seen through the averaging kernel of our profile.</summary>
    Kernel,
    /// <summary>Interpolated to the altitude, or the nearest altitude within the limit.</summary>
    Interpolated,
}

/// <summary>A wind of ours with the nearest independent one.</summary>
public readonly record struct ComparisonPair
{
    /// <summary>What is compared.</summary>
    public required ComparedWind Compared { get; init; }
    /// <summary>View id; empty for vectors.</summary>
    public required string View { get; init; }
    /// <summary>Line id.</summary>
    public required string Line { get; init; }
    /// <summary>Time of our wind.</summary>
    public required Instant Time { get; init; }
    /// <summary>Our latitude, degrees.</summary>
    public required double LatitudeDeg { get; init; }
    /// <summary>Our longitude, degrees east.</summary>
    public required double LongitudeDeg { get; init; }
    /// <summary>Our altitude, km.</summary>
    public required double AltitudeKm { get; init; }
    /// <summary>Local solar time of our wind, h.</summary>
    public required double LocalSolarTimeH { get; init; }
    /// <summary>Our wind, m/s.</summary>
    public required double OwnMs { get; init; }
    /// <summary>Its 1σ, m/s.</summary>
    public required double OwnSigmaMs { get; init; }
    /// <summary>The independent wind, m/s.</summary>
    public required double OtherMs { get; init; }
    /// <summary>Its 1σ, m/s; 0 = not stated.</summary>
    public required double OtherSigmaMs { get; init; }
    /// <summary>Great-circle distance, km.</summary>
    public required double DistanceKm { get; init; }
    /// <summary>Our time minus theirs, minutes.</summary>
    public required double Minutes { get; init; }
    /// <summary>Distance in altitude to the nearest independent wind of the column, km.</summary>
    public required double AltitudeGapKm { get; init; }
    /// <summary>How the column was brought to our altitude.</summary>
    public required ColumnSampling Sampling { get; init; }
    /// <summary>Orbit of our wind: pairs of one orbit share the air, so they count as one encounter.</summary>
    public required int Orbit { get; init; }

    /// <summary>Ours minus theirs, m/s.</summary>
    public double DifferenceMs => OwnMs - OtherMs;
}

/// <summary>How near is near. Defaults are chosen: a line of sight averages some hundred kilometres of air; the tide turns noticeably within an hour; winds turn within ten kilometres of height.</summary>
public sealed record ComparisonLimits
{
    /// <summary>The defaults.</summary>
    public static ComparisonLimits Default { get; } = new();

    /// <summary>The widest limits that pairs are made and kept for.</summary>
    public static ComparisonLimits Widest { get; } = new() { DistanceKm = 1000, Minutes = 90, AltitudeKm = 10 };

    /// <summary>Largest distance, km.</summary>
    public double DistanceKm { get; init; } = 500;
    /// <summary>Largest time between, minutes.</summary>
    public double Minutes { get; init; } = 30;
    /// <summary>Largest distance in altitude to the nearest independent wind, km.</summary>
    public double AltitudeKm { get; init; } = 3;

    /// <summary>True for a pair within the limits.</summary>
    public bool Holds(in ComparisonPair p) => p.DistanceKm <= DistanceKm && Math.Abs(p.Minutes) <= Minutes && p.AltitudeGapKm <= AltitudeKm;
}
