using System.Globalization;
using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Instrument;
using Phasekeeper.Core.Limb;
using Phasekeeper.Core.Orbits.Files;
using Phasekeeper.Core.Tests.Fringes;
using Phasekeeper.Core.Thermal;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Winds;

namespace Phasekeeper.Core.Tests.Winds;

/// <summary>A row of the example mission's truth.</summary>
public sealed record WindTruth(double AltitudeKm, double LosMs, double EastMs, double NorthMs, double Signal);

/// <summary>One scene exposure of the example mission, with exact drift and shift and phases that carry the noise of their signal.</summary>
public sealed record ExampleScene(LosWindInput Input, LimbPaths Paths, WindTruth[] Truth);

/// <summary>Scenes from the truth of the example mission (an independent simulator; its README beside it).</summary>
public static class ExampleMissionWinds
{
    private const double Visibility = 0.65, ReadVariance = 64, OtherVariance = 1;
    private const int Samples = 256;

    public static IEnumerable<ExampleScene> Scenes(ulong seed, bool noise)
    {
        var folder = ExampleMission.Folder!;
        var ephemeris = OemFile.Read("orbit.oem", File.ReadAllText(Path.Combine(folder, "orbit.oem"))).Value;
        var lines = File.ReadAllLines(Path.Combine(folder, "truth.csv"));
        var header = lines[0].TrimStart('#', ' ').Split(',');
        var random = new NoiseSource(seed);
        LimbPaths? paths = null;
        (string, string) pathsOf = default;
        foreach (var group in lines.Skip(1).Select(l => l.Split(',')).GroupBy(f => (Exposure: f[0], View: f[1], Line: f[2])))
        {
            var rows = group.OrderBy(f => int.Parse(f[3], CultureInfo.InvariantCulture)).ToArray();
            double At(string[] f, string name) => double.Parse(f[Array.IndexOf(header, name)], CultureInfo.InvariantCulture);
            var line = Line(group.Key.Line);
            var time = Instant.FromUnixSeconds(At(rows[0], "time_unix_s"));
            if (!ephemeris.TryGetState(time, out var state)) throw new InvalidOperationException($"orbit.oem does not cover {time}.");
            var geometry = new LookGeometry(time, state);
            var looks = rows.Select((_, r) => geometry.Look(group.Key.View == "L" ? 45 : 135, 21.35 + (15.9 - 21.35) * r / 23)).ToArray();
            if (pathsOf != (group.Key.Exposure, group.Key.View)) (paths, pathsOf) = (LimbPaths.TryBuild(looks)!, (group.Key.Exposure, group.Key.View));
            var signal = rows.Select(f => At(f, "signal_electrons")).ToArray();
            var sigma = signal.Select(s => Math.Sqrt(2 / (Samples * s * Visibility * Visibility) * (1 + (ReadVariance + OtherVariance) / s))).ToArray();
            var phase = rows.Select((f, r) => Math.IEEERemainder(At(f, "phase_rad") + (noise ? sigma[r] * random.Gauss() : 0), 2 * Math.PI)).ToArray();
            var amplitudeSigma = signal.Select((s, r) => s * sigma[r]).ToArray();
            yield return new(new()
            {
                Fringe = Fringe(time, long.Parse(group.Key.Exposure, CultureInfo.InvariantCulture), group.Key.View, group.Key.Line, phase, sigma,
                    [.. signal.Select((s, r) => s + (noise ? amplitudeSigma[r] * random.Gauss() : 0))], Visibility, [.. looks.Select(l => l.MotionMs)]),
                Looks = looks,
                Line = line,
                Samples = Samples,
                Drift = new DriftEstimate(At(rows[0], "optical_drift_rad"), 0, 0, 0, DriftSource.Lamp, false, 0),
                Shift = new ShiftEstimate(At(rows[0], "image_shift_samples"), 0, true),
                SatelliteVelocityEcefAxesMs = EarthRotation.TemeToEcef(time) * state.VelocityTemeMs,
                EphemerisSigmaMs = 0,
            }, paths!, [.. rows.Select(f => new WindTruth(At(f, "tangent_altitude_km"), At(f, "los_wind_at_tangent_m_per_s"), At(f, "eastward_m_per_s"), At(f, "northward_m_per_s"), At(f, "signal_electrons")))]);
        }
    }

    public static FringeResult Fringe(Instant time, long exposure, string view, string line, double[] phase, double[] sigma, double[] signal, double visibility, double[] motion)
    {
        var rows = phase.Length;
        return new()
        {
            Exposure = exposure,
            Kind = ExposureKind.Scene,
            View = view,
            Line = line,
            Time = time,
            IntegrationS = 30,
            Status = new RowStatus[rows],
            PhaseRad = phase,
            PhaseSigmaRad = sigma,
            Visibility = [.. Enumerable.Repeat(visibility, rows)],
            VisibilitySigma = [.. sigma.Select(s => s * visibility)],
            SignalElectrons = signal,
            SignalSigmaElectrons = [.. signal.Select(s => Math.Sqrt(Math.Max(s, 1) / Samples))],
            ChiSquare = [.. Enumerable.Repeat(1.0, rows)],
            MaskedSamples = new int[rows],
            SpikeSamples = new int[rows],
            SaturatedSamples = new int[rows],
            VelocityRemovedMs = motion,
            ImageShiftSamples = 0,
            ImageShiftSigmaSamples = 0.004,
            DetectorC = -20,
        };
    }

    public static LineModel Line(string id) => id == "green"
        ? new() { Id = "green", WavelengthVacuumNm = 557.8887, Cycles = 57.7, OpdMm = 50, OpdStepUm = 46.875, LampWavelengthVacuumNm = 557.18, LampCycles = 85.059 }
        : new() { Id = "red", WavelengthVacuumNm = 630.2047, Cycles = 46.3, OpdMm = 50, OpdStepUm = 46.875, LampWavelengthVacuumNm = 630.652, LampCycles = 32.7946 };
}
