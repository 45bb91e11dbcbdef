using Phasekeeper.Core.Time;
using Phasekeeper.Core.Winds;

namespace Phasekeeper.Storage;

/// <summary>Line-of-sight winds of one exposure, view and line, with what they were made from.</summary>
public sealed record StoredLosWind
{
    /// <summary>Id; 0 before it is stored.</summary>
    public long Id { get; init; }
    /// <summary>Orbit that holds the exposure.</summary>
    public required int Orbit { get; init; }
    /// <summary>The winds, one a detector row; reasons carry the catalogue's sentences.</summary>
    public required LosWindProfile Profile { get; init; }
    /// <summary>Coefficient set.</summary>
    public long? CoefficientSet { get; init; }
    /// <summary>Auxiliary file that gave the ephemeris; null when none covers the exposure.</summary>
    public long? EphemerisFile { get; init; }
    /// <summary>Auxiliary file that gave the attitude; null = nominal.</summary>
    public long? AttitudeFile { get; init; }
    /// <summary>Hash of everything that went in.</summary>
    public required byte[] InputHash { get; init; }
    /// <summary>Version of the program.</summary>
    public required string SoftwareVersion { get; init; }
}

/// <summary>One detector row of line-of-sight winds (contract.md section 4, <c>/api/v1/winds/los</c>).</summary>
/// <param name="Stored">The exposure.</param>
/// <param name="Row">Detector row.</param>
public readonly record struct StoredLosWindRow(StoredLosWind Stored, int Row)
{
    /// <summary>Middle of the exposure.</summary>
    public Instant Time => Stored.Profile.Time;
    /// <summary>Its wind.</summary>
    public LosWind Wind => Stored.Profile.Rows[Row];
}

/// <summary>Wind vectors of one line at the tangent points of one exposure of the second view, with what they were made from.</summary>
public sealed record StoredWindVectors
{
    /// <summary>Id; 0 before it is stored.</summary>
    public long Id { get; init; }
    /// <summary>Orbit that holds the earlier of the two looks.</summary>
    public required int Orbit { get; init; }
    /// <summary>Line id.</summary>
    public required string Line { get; init; }
    /// <summary>Exposure of the second view, whose tangent points are the places.</summary>
    public required long Exposure { get; init; }
    /// <summary>Middle of that exposure.</summary>
    public required Instant ExposureTime { get; init; }
    /// <summary>The vectors, by detector row; at least one. Reasons carry the catalogue's sentences.</summary>
    public required IReadOnlyList<WindVector> Vectors { get; init; }
    /// <summary>Coefficient set of the places' exposure.</summary>
    public long? CoefficientSet { get; init; }
    /// <summary>Hash of the winds that went in.</summary>
    public required byte[] InputHash { get; init; }
    /// <summary>Version of the program.</summary>
    public required string SoftwareVersion { get; init; }
}

/// <summary>One wind vector (contract.md section 4, <c>/api/v1/winds/vector</c>).</summary>
/// <param name="Stored">The exposure.</param>
/// <param name="Index">Place in <see cref="StoredWindVectors.Vectors"/>.</param>
public readonly record struct StoredWindVector(StoredWindVectors Stored, int Index)
{
    /// <summary>The vector.</summary>
    public WindVector Vector => Stored.Vectors[Index];
}
