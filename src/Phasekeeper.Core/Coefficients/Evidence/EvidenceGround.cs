using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Coefficients.Evidence;

/// <summary>What computed evidence, or a fit, rests on; so that it can be told later whether that has moved.</summary>
public sealed record EvidenceGround
{
    /// <summary>Where the set was taken to begin; of a fit the start of its window.</summary>
    public required Instant From { get; init; }
    /// <summary>The orbit that begins there; null where none is known.</summary>
    public int? Orbit { get; init; }
    /// <summary>The starting orbit that a person asked for; null: the set's own validity.</summary>
    public int? ChosenOrbit { get; init; }
    /// <summary>The set in force there, that is compared with or from which a fit begins: id.</summary>
    public required long Against { get; init; }
    /// <summary>Orbits that were looked at, ascending.</summary>
    public required IReadOnlyList<GroundOrbit> Orbits { get; init; }
    /// <summary>Versions of the program, and of what it retrieves, tracks and inverts with.</summary>
    public required string Versions { get; init; }
}

/// <summary>An orbit that was looked at.</summary>
/// <param name="Orbit">Number.</param>
/// <param name="Fingerprint">Of its limits and of what the archive holds of it and its neighbours, hexadecimal; no set or decision goes into it.</param>
public sealed record GroundOrbit(int Orbit, string Fingerprint);
