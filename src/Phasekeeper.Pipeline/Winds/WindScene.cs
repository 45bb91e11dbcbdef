using Phasekeeper.Core.Instrument;
using Phasekeeper.Core.Orbits;
using Phasekeeper.Core.Thermal;
using Phasekeeper.Core.Winds;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Winds;

/// <summary>One scene exposure of a view and line with everything that its winds are made from.</summary>
internal sealed record WindScene
{
    /// <summary>σ of the satellite's speed along a line of sight from tabulated states, m/s (domain.md section 3).</summary>
    public const double OemSigmaMs = 0.1;

    /// <summary>The same from mean elements by SGP4: the middle of 1–3 m/s (domain.md section 3).</summary>
    public const double MeanElementsSigmaMs = 2;

    public required StoredFringe Fringe { get; init; }
    /// <summary>False for an exposure beyond the orbit's ends, of which only the wind along the rays between is wanted.</summary>
    public required bool IsOwn { get; init; }
    public required ExposureLooks Looks { get; init; }
    /// <summary>Place of the view in the instrument's order.</summary>
    public required int View { get; init; }
    public required LineModel Line { get; init; }
    public required InstrumentModel Instrument { get; init; }
    public required DriftEstimate? Drift { get; init; }
    public required ShiftEstimate Shift { get; init; }
    public required IReadOnlyList<WindQualityReason> Reasons { get; init; }

    public double EphemerisSigmaMs => Looks.Ephemeris.Ephemeris.Kind == EphemerisKind.MeanElements ? MeanElementsSigmaMs : OemSigmaMs;

    /// <summary>The core's input, without a gradient along the ray. The zero wind of the coefficient set (its phases Z) is out of the fringes' phases already.</summary>
    public LosWindInput ToInput() => new()
    {
        Fringe = Fringe.Result,
        Looks = Looks.Looks[View],
        Line = Line,
        Samples = Instrument.Samples,
        Drift = Drift,
        Shift = Shift,
        SatelliteVelocityEcefAxesMs = Looks.VelocityEcefAxesMs,
        ZeroWindSigmaMs = Instrument.ZeroWindSigmaMs,
        EphemerisSigmaMs = EphemerisSigmaMs,
        YawSigmaDeg = Instrument.AttitudeSigmaDeg.Yaw,
        PitchSigmaDeg = Instrument.AttitudeSigmaDeg.Pitch,
        RollSigmaDeg = Instrument.AttitudeSigmaDeg.Roll,
        ExposureReasons = Reasons,
    };
}
