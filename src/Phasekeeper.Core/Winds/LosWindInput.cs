using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Instrument;
using Phasekeeper.Core.Limb;
using Phasekeeper.Core.Thermal;

namespace Phasekeeper.Core.Winds;

/// <summary>Everything that the winds of one scene exposure, view and line are made from.</summary>
public sealed record LosWindInput
{
    /// <summary>Phases of the scene exposure (contract.md section 4: Ψ, Z and the motion taken out, drift and image shift still in).</summary>
    public required FringeResult Fringe { get; init; }
    /// <summary>Line of sight of each detector row at the middle of the exposure.</summary>
    public required IReadOnlyList<LookSample> Looks { get; init; }
    /// <summary>The line: F, σ and D0.</summary>
    public required LineModel Line { get; init; }
    /// <summary>Samples N along a row.</summary>
    public required int Samples { get; init; }
    /// <summary>φ_opt at the exposure; null where no temperature is known: then nothing can be said.</summary>
    public required DriftEstimate? Drift { get; init; }
    /// <summary>The smoothed image shift of the view at the exposure.</summary>
    public required ShiftEstimate Shift { get; init; }
    /// <summary>Inertial velocity of the satellite on Earth-fixed axes, m/s: turns the attitude's σ into speeds.</summary>
    public required Vec3 SatelliteVelocityEcefAxesMs { get; init; }
    /// <summary>Known offset of the view's and line's winds, m/s: subtracted from the apparent wind of every row.</summary>
    public double ZeroWindOffsetMs { get; init; }
    /// <summary>1σ of the zero wind, m/s, common to all rows.</summary>
    public double ZeroWindSigmaMs { get; init; }
    /// <summary>1σ of the satellite's speed along the line of sight, m/s (0.1 for an OEM, 1–3 for mean elements; domain.md section 3).</summary>
    public double EphemerisSigmaMs { get; init; } = 0.1;
    /// <summary>1σ of rotation about the local vertical, deg.</summary>
    public double YawSigmaDeg { get; init; }
    /// <summary>1σ of rotation about the orbit's normal, deg.</summary>
    public double PitchSigmaDeg { get; init; }
    /// <summary>1σ of rotation about the direction of flight, deg.</summary>
    public double RollSigmaDeg { get; init; }
    /// <summary>
    /// Change of the wind along the ray, m/s per 1000 km away from the satellite, one a detector row (NaN: unknown), from neighbouring exposures
    /// (<see cref="AlongRayGradient"/>); null: none is known.
    /// </summary>
    public double[]? WindGradientMsPerMm { get; init; }
    /// <summary>Change of the emission along the ray from neighbouring exposures and the Sun's direction; null: none is known.</summary>
    public EmissionChange? EmissionChange { get; init; }
    /// <summary>Reasons that hold for every row (Sun or Moon near the view, South Atlantic, shadow transition, manoeuvre).</summary>
    public IReadOnlyList<WindQualityReason> ExposureReasons { get; init; } = [];

    /// <summary>The input with what neighbouring exposures of the same view and line tell of changes along the ray; the same object where this one has no inverted winds. All three profiles are made without.</summary>
    public LosWindInput WithNeighbours(LosWindProfile? before, LosWindProfile here, LosWindProfile? after)
    {
        if (ProfileTrio.TryCreate(before, here, after) is not { } profiles) return this;
        return this with { WindGradientMsPerMm = AlongRayGradient.Of(profiles, LosWindOptions.Default), EmissionChange = EmissionChange.Of(profiles, LosWindOptions.Default) };
    }
}
