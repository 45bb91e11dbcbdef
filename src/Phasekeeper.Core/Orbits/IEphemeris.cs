using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Orbits;

/// <summary>How an ephemeris was made, which decides its share of the error budget (domain.md: OEM 0.1 m/s, mean elements 1–3 m/s).</summary>
public enum EphemerisKind
{
    /// <summary>Tabulated states of an orbit determination (CCSDS OEM).</summary>
    Oem,
    /// <summary>Mean elements (OMM or two-line set) propagated by SGP4.</summary>
    MeanElements,
}

/// <summary>Where the satellite was. Never extrapolates beyond <see cref="Start"/>…<see cref="End"/>.</summary>
public interface IEphemeris
{
    /// <summary>How it was made.</summary>
    EphemerisKind Kind { get; }

    /// <summary>First moment covered.</summary>
    Instant Start { get; }

    /// <summary>Last moment covered.</summary>
    Instant End { get; }

    /// <summary>The stretches covered, in order and without overlap, ends included.</summary>
    IReadOnlyList<TimeStretch> Coverage => [new(Start, End)];

    /// <summary>State at a moment; false where the file does not cover it (also in gaps between segments).</summary>
    bool TryGetState(Instant time, out OrbitState state);
}
