using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Limb;
using Phasekeeper.Core.Orbits;
using Phasekeeper.Core.Tests.Fringes;
using Phasekeeper.Core.Thermal;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Winds;

namespace Phasekeeper.Core.Tests.Winds;

/// <summary>Air of one simulated profile: emission per km of path and wind along the ray at a height (km) and a distance along the ray (1000 km).</summary>
public sealed record SimulatedAir(Func<double, double, double> Emission, Func<double, double, double> WindMs);

/// <summary>Errors put into the corrections of one simulated exposure, in the units of their σ.</summary>
public sealed record CorrectionErrors(double DriftRad, double ShiftSamples, double ZeroWindMs, double EphemerisMs, double YawDeg);

/// <summary>
/// A forward model of a limb exposure written from domain.md section 2: A·V·e^{jφ} of a row is the path integral of ε·V·e^{jφ(w)}, by steps of 6 km along the ray over WGS 84,
/// with the horizontal wind projected onto the ray. It shares no code with the inversion but the ellipsoid.
/// </summary>
public sealed class SimulatedLimb
{
    private const double StepKm = 6, ReachKm = 620, Visibility = 0.65;
    private const int Samples = 256;

    private readonly (double HeightKm, double AlongMm, double Cosine)[][] points;

    public SimulatedLimb(double inclinationDeg = 50, double latitudePhaseDeg = 30, double azimuthDeg = 45)
    {
        // A circular orbit at 575 km; TEME axes.
        const double radius = 6_953_137;
        var speed = Math.Sqrt(3.986004418e14 / radius);
        var (si, ci) = Math.SinCos(inclinationDeg * Math.PI / 180);
        var (sp, cp) = Math.SinCos(latitudePhaseDeg * Math.PI / 180);
        Time = Instant.ParseUtc("2031-03-21T12:00:00Z");
        State = new OrbitState(new Vec3(radius * cp, radius * sp * ci, radius * sp * si), new Vec3(-speed * sp, speed * cp * ci, speed * cp * si));
        var geometry = new LookGeometry(Time, State);
        Looks = [.. Enumerable.Range(0, 24).Select(r => geometry.Look(azimuthDeg, 21.35 + (15.9 - 21.35) * r / 23))];
        Paths = LimbPaths.TryBuild(Looks)!;
        VelocityMs = EarthRotation.TemeToEcef(Time) * State.VelocityTemeMs;
        var origin = Looks[12].TangentEcefM;
        points = [.. Looks.Select(look =>
        {
            var row = new List<(double, double, double)>();
            // Far enough to leave the emission at both ends.
            for (var s = -2900.0; s <= 2900; s += StepKm)
            {
                var position = look.TangentEcefM + 1e3 * s * look.DirectionEcef;
                var g = Wgs84.ToGeodetic(position);
                if (g.AltitudeM * 1e-3 > ReachKm) continue;
                var up = Wgs84.LocalAxes(g.LatitudeRad, g.LongitudeRad).Up;
                row.Add((g.AltitudeM * 1e-3, 1e-6 * Vec3.Dot(position - origin, Looks[12].DirectionEcef), Vec3.Cross(up, look.DirectionEcef).Length));
            }
            return row.ToArray();
        })];
    }

    public Instant Time { get; }
    public OrbitState State { get; }
    public LookSample[] Looks { get; }
    public LimbPaths Paths { get; }
    public Vec3 VelocityMs { get; }

    /// <summary>Distance of a row's tangent point along the ray, 1000 km: where its true wind is taken.</summary>
    public double AlongMm(int row) => 1e-6 * Vec3.Dot(Looks[row].TangentEcefM - Looks[12].TangentEcefM, Looks[12].DirectionEcef);

    /// <summary>An exposure of some air, with noise from a source (null: none) and errors of the corrections.</summary>
    public LosWindInput Expose(string lineId, SimulatedAir air, NoiseSource? noise, CorrectionErrors? errors = null, CorrectionErrors? sigmas = null)
    {
        var line = ExampleMissionWinds.Line(lineId);
        var kappa = 2 * Math.PI * 0.05 / (line.WavelengthVacuumNm * 1e-9) / 299_792_458.0;
        double[] phase = new double[Looks.Length], sigma = new double[Looks.Length], signal = new double[Looks.Length];
        errors ??= new(0, 0, 0, 0, 0);
        sigmas ??= new(0, 0, 0, 0, 0);
        var shiftRad = 2 * Math.PI * line.Cycles / Samples;
        var tilted = new LookGeometry(Time, State).SatelliteEcefM.Normalized();
        for (var r = 0; r < Looks.Length; r++)
        {
            double re = 0, im = 0;
            foreach (var (height, along, cosine) in points[r])
            {
                var e = air.Emission(height, along) * StepKm;
                var (sin, cos) = Math.SinCos(-kappa * air.WindMs(height, along) * cosine);
                re += e * cos;
                im += e * sin;
            }
            // Amplitude A·V; A itself is the sum over V.
            var amplitude = Math.Sqrt(re * re + im * im);
            signal[r] = amplitude;
            sigma[r] = Math.Sqrt(2 / (Samples * signal[r] * Visibility * Visibility) * (1 + 65 / signal[r]));
            // Yaw turns the true line of sight about the vertical; the removed motion does not know it.
            var turned = Vec3.Cross(tilted, Looks[r].DirectionEcef);
            var yawMs = errors.YawDeg * Math.PI / 180 * Vec3.Dot(Vec3.Cross(new(0, 0, Wgs84.RotationRateRadPerS), Looks[r].SatelliteEcefM) - VelocityMs, turned);
            phase[r] = Math.Atan2(im, re) - kappa * (errors.ZeroWindMs + errors.EphemerisMs + yawMs) + errors.DriftRad - shiftRad * errors.ShiftSamples;
            if (noise is null) continue;
            phase[r] += sigma[r] * noise.Gauss();
            signal[r] *= 1 + Math.Sqrt(sigma[r] * sigma[r] + 4e-6) * noise.Gauss();
        }
        return new()
        {
            Fringe = ExampleMissionWinds.Fringe(Time, 1, "F", lineId, phase, sigma, signal, Visibility, [.. Looks.Select(l => l.MotionMs)]),
            Looks = Looks,
            Line = line,
            Samples = Samples,
            Drift = new DriftEstimate(0, sigmas.DriftRad, 0, 0, DriftSource.Lamp, false, 0),
            Shift = new ShiftEstimate(0, sigmas.ShiftSamples, true),
            SatelliteVelocityEcefAxesMs = VelocityMs,
            ZeroWindSigmaMs = sigmas.ZeroWindMs,
            EphemerisSigmaMs = sigmas.EphemerisMs,
            YawSigmaDeg = sigmas.YawDeg,
        };
    }

    /// <summary>Chapman layers of the two lines by day and night, electrons per sample and km.</summary>
    public static Func<double, double> Layers(string line, bool day) => (line, day) switch
    {
        ("green", true) => z => 38 * Chapman(z, 97, 7) + 22 * Chapman(z, 160, 35),
        ("green", false) => z => 25 * Chapman(z, 97, 6) + 0.9 * Chapman(z, 250, 40),
        ("red", true) => z => 14 * Chapman(z, 220, 45),
        _ => z => 3.5 * Chapman(z, 260, 42),
    };

    private static double Chapman(double heightKm, double peakKm, double scaleKm)
    {
        var q = (heightKm - peakKm) / scaleKm;
        return Math.Exp(1 - q - Math.Exp(-q));
    }
}
