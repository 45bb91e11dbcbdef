using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Thermal;
using Phasekeeper.Core.Winds;

namespace Phasekeeper.Pipeline.Winds;

/// <summary>A correction that can be left out, to see what it does.</summary>
public enum WindCorrection
{
    /// <summary>Drift of the optics with temperature and age: as if they were as on the ground at the reference temperature.</summary>
    LampAndThermal,
    /// <summary>Shift of the fringe image along the row, of scene and lamp alike.</summary>
    ImageShift,
    /// <summary>The satellite's own speed along the line of sight.</summary>
    SatelliteVelocity,
    /// <summary>The Earth's rotation at the tangent point.</summary>
    EarthRotation,
    /// <summary>The inversion: the apparent wind of a row is taken for that at its tangent point.</summary>
    Inversion,
    /// <summary>The zero-wind phases of the coefficient set.</summary>
    ZeroWind,
}

/// <summary>Leaves corrections out of a scene before its winds are made by the ordinary way.</summary>
internal static class WindCorrections
{
    /// <summary>The scene without a correction; <see cref="WindCorrection.Inversion"/> changes the winds instead (<see cref="LosWindRetrieval.WithoutInversion"/>).</summary>
    public static WindScene Without(this WindScene scene, WindCorrection off, OpticsCoefficients optics) => off switch
    {
        WindCorrection.LampAndThermal => scene with { Drift = scene.Drift is { } d ? d with { DriftRad = 0 } : null },
        WindCorrection.ImageShift => scene with { Drift = WithoutShiftOfLamp(scene, optics), Shift = scene.Shift with { ShiftSamples = 0 } },
        WindCorrection.SatelliteVelocity => scene with { Looks = scene.Looks with { Looks = [.. scene.Looks.Looks.Select(v => v.Select(l => l with { SatelliteSpeedMs = 0 }).ToArray())] } },
        WindCorrection.EarthRotation => scene with { Looks = scene.Looks with { Looks = [.. scene.Looks.Looks.Select(v => v.Select(l => l with { EarthRotationMs = 0 }).ToArray())] } },
        WindCorrection.ZeroWind => scene with
        {
            Fringe = scene.Fringe with
            {
                Result = scene.Fringe.Result with
                {
                    PhaseRad = [.. scene.Fringe.Result.PhaseRad.Select((p, r) => Math.IEEERemainder(p + optics.ZeroWindRad[optics.ZeroWindRad.Length == 1 ? 0 : r], 2 * Math.PI))],
                },
            },
        },
        _ => scene,
    };

    // A lamp phase whose image shift is left in looks like a drift of −ρ·2π·F_L·s/N (domain.md section 2); s changes slowly against the lamp's cadence.
    private static DriftEstimate? WithoutShiftOfLamp(WindScene scene, OpticsCoefficients optics) => scene.Drift is not { } d ? null
        : d with { DriftRad = d.DriftRad - optics.LampRatio * 2 * Math.PI * scene.Line.LampCycles / scene.Instrument.Samples * scene.Shift.ShiftSamples };
}
