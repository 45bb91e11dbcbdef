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
    /// <summary>Fingerprint of the flag rules in force; empty in what was computed before it was told.</summary>
    public string Rules { get; init; } = "";
    /// <summary>How far before the first neighbouring orbit temperatures were used, s.</summary>
    public double LookBackS { get; init; }
    /// <summary>Mission time when it was computed: hours that were over by then are compared as a whole, the one that was not by the fringes that an orbit uses of it.</summary>
    public Instant Until { get; init; }
}

/// <summary>An orbit that was looked at.</summary>
/// <param name="Orbit">Number.</param>
/// <param name="Fingerprint">Of its limits and of what the archive, the attitude files and the planned activities hold of it and its neighbours, hexadecimal; no set or decision goes into it.</param>
public sealed record GroundOrbit(int Orbit, string Fingerprint);
