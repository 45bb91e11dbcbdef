namespace Phasekeeper.Core.Instrument;

/// <summary>
/// The interferometer as the mission profile describes it (contract.md section 2). Fixed for a mission; what drifts is in the
/// coefficient set. Angles in degrees and lengths in the file's units: the edge that converts them is <see cref="LineModel"/>.
/// </summary>
public sealed record InstrumentModel
{
    /// <summary>Name of the instrument.</summary>
    public required string Name { get; init; }
    /// <summary>Detector rows R; a row is one altitude at the limb.</summary>
    public required int Rows { get; init; }
    /// <summary>Samples N along a row.</summary>
    public required int Samples { get; init; }
    /// <summary>Electrons per count of the telemetry.</summary>
    public double ElectronsPerCount { get; init; } = 1.0;
    /// <summary>Gaussian read noise, electrons rms per sample.</summary>
    public required double ReadNoiseElectrons { get; init; }
    /// <summary>Counts at and above which a sample is saturated.</summary>
    public required int SaturationCounts { get; init; }
    /// <summary>Depression of each row's line of sight below the body's horizontal plane, degrees; one a row.</summary>
    public required IReadOnlyList<double> RowDepressionDeg { get; init; }
    /// <summary>The views, in the profile's order.</summary>
    public required IReadOnlyList<ViewModel> Views { get; init; }
    /// <summary>The lines, in the profile's order.</summary>
    public required IReadOnlyList<LineModel> Lines { get; init; }
    /// <summary>Notches ruled on the optics, which show the image shift; may be empty.</summary>
    public IReadOnlyList<Fiducial> Fiducials { get; init; } = [];

    /// <summary>How well the attitude is known.</summary>
    public AttitudeSigma AttitudeSigmaDeg { get; init; } = new(0, 0, 0);
    /// <summary>1σ of the zero wind of a view and line, m/s, common to its rows and independent between views and lines; 0 = not stated, and then no part of any uncertainty.</summary>
    public double ZeroWindSigmaMs { get; init; }
    /// <summary>What must keep away from the views.</summary>
    public AvoidanceAngles Avoid { get; init; } = AvoidanceAngles.Default;

    /// <summary>Centre sample i_c = (N−1)/2.</summary>
    public double CentreSample => (Samples - 1) / 2.0;
}

/// <summary>1σ of the attitude about the local vertical, the orbit's normal and the direction of flight, deg; 0 = not stated, and then no part of any uncertainty.</summary>
public sealed record AttitudeSigma(double Yaw, double Pitch, double Roll);

/// <summary>Angles from any line of sight of a view, deg, within which Sun or Moon make its winds doubtful.</summary>
public sealed record AvoidanceAngles(double Sun, double Moon)
{
    /// <summary>Chosen: a baffle keeps the Sun's stray light out beyond some 15°; the Moon is 400,000 times fainter and matters only beside the field of view.</summary>
    public static AvoidanceAngles Default { get; } = new(15, 3);
}

/// <summary>A view: azimuth from the velocity towards the left of the track, degrees.</summary>
public sealed record ViewModel(string Id, double AzimuthDeg);

/// <summary>A notch at sample p with depth 0…1 and Gaussian width in samples.</summary>
public sealed record Fiducial(double Sample, double Depth, double WidthSamples);

/// <summary>An observed line with its lamp line.</summary>
public sealed record LineModel
{
    /// <summary>Speed of light, m/s (exact, SI).</summary>
    public const double SpeedOfLightMs = 299_792_458.0;

    /// <summary>Id of the line, e.g. green.</summary>
    public required string Id { get; init; }
    /// <summary>Vacuum wavelength, nm.</summary>
    public required double WavelengthVacuumNm { get; init; }
    /// <summary>Fringe cycles F across the N samples.</summary>
    public required double Cycles { get; init; }
    /// <summary>Mean optical path difference D0, mm.</summary>
    public required double OpdMm { get; init; }
    /// <summary>Step dD of the optical path difference from sample to sample, µm.</summary>
    public required double OpdStepUm { get; init; }
    /// <summary>Vacuum wavelength of the lamp's line, nm.</summary>
    public required double LampWavelengthVacuumNm { get; init; }
    /// <summary>Fringe cycles F_L of the lamp across the N samples.</summary>
    public required double LampCycles { get; init; }

    /// <summary>Wavenumber σ = 1/λ, 1/m.</summary>
    public double WavenumberPerM => 1e9 / WavelengthVacuumNm;
    /// <summary>Wavenumber of the lamp's line, 1/m.</summary>
    public double LampWavenumberPerM => 1e9 / LampWavelengthVacuumNm;

    /// <summary>κ_i = 2πσD_i/c, rad per m/s, at sample i with D_i = D0 + (i − i_c)·dD.</summary>
    public double KappaRadPerMs(double sample, double centreSample) =>
        2 * Math.PI * WavenumberPerM * (OpdMm * 1e-3 + (sample - centreSample) * OpdStepUm * 1e-6) / SpeedOfLightMs;

    /// <summary>κ at the mean path difference D0, rad per m/s: turns a phase referred to D0 into a speed.</summary>
    public double KappaAtMeanRadPerMs => 2 * Math.PI * WavenumberPerM * OpdMm * 1e-3 / SpeedOfLightMs;
}
