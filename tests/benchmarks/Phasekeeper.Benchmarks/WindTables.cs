using System.Diagnostics;
using System.Globalization;
using Phasekeeper.Core.Tests.Fringes;
using Phasekeeper.Core.Tests.Winds;
using Phasekeeper.Core.Winds;
using Phasekeeper.Demo.Scenario;
using Phasekeeper.Demo.Tests.Winds;

namespace Phasekeeper.Benchmarks;

/// <summary>Winds of the demo scenario, from packets to layer winds, against what was put in.</summary>
internal static class WindTables
{
    public static void Print(TextWriter output, double fromHours, double hours, ulong? seed)
    {
        var generator = new ScenarioGenerator(DemoScenario.Default, seed, events: []);
        var start = Stopwatch.GetTimestamp();
        var mission = new ScenarioMission(generator, fromHours, fromHours + hours);
        var read = Stopwatch.GetElapsedTime(start).TotalSeconds;
        start = Stopwatch.GetTimestamp();
        var winds = new ScenarioWinds(mission, Corrections.All);
        var profiles = winds.Retrieve();
        var inverted = Stopwatch.GetElapsedTime(start).TotalSeconds;
        var truth = new ScenarioTruth(generator);
        start = Stopwatch.GetTimestamp();
        var errors = WindComparison.Compare(profiles, truth);
        var compared = Stopwatch.GetElapsedTime(start).TotalSeconds;
        output.WriteLine(Text($"Scenario seed {generator.Seed}, {hours} h from hour {fromHours}: {winds.Analyses.Count} orbits, {profiles.Count} profiles, {errors.Count} winds; packets and phases {read:0.0} s, winds {inverted:0.0} s, truth {compared:0.0} s."));
        ByBand(output, errors);
        Vectors(output, profiles, truth);
        Without(output, mission, truth, errors);
        ExampleMissionWinds(output);
    }

    private static void ByBand(TextWriter output, IReadOnlyList<WindError> errors)
    {
        output.WriteLine("Good winds. Bias: mean error against the truth through the averaging kernel, with its 1σ. 68 % and median: error at the point. Smoothing: 68 % of (truth through the kernel − truth at the point).");
        output.WriteLine("line  light    altitude km |     n  good | bias m/s     σ | 68 % m/s  median  smoothing | error/σ kernel  point | σ m/s  resolution km");
        foreach (var (line, low, high) in WindComparison.Bands)
            foreach (var light in Enum.GetValues<Sunlight>())
            {
                var all = errors.Where(e => e.Line == line && e.Light == light && e.Wind.AltitudeKm >= low && e.Wind.AltitudeKm < high).ToArray();
                var good = all.Where(e => e.Wind.Quality == WindQuality.Good).ToArray();
                if (all.Length == 0) continue;
                if (good.Length == 0)
                {
                    output.WriteLine(Text($"{line,-5} {light,-8} {low,3}–{high,-8} | {0,5}   0 % |"));
                    continue;
                }
                var f = WindFigures.Of(good);
                output.WriteLine(Text($"{line,-5} {light,-8} {low,3}–{high,-8} | {f.Count,5} {100.0 * good.Length / all.Length,3:0} % | {f.BiasMs,8:0.00} {f.BiasSigmaMs,5:0.00} | {f.Point68Ms,8:0.00} {f.MedianMs,7:0.00} {f.Resolution68Ms,10:0.00} | {f.KernelRatio,14:0.000} {f.PointRatio,6:0.000} | {f.SigmaMs,5:0.0} {f.ResolutionKm,14:0.0}"));
            }
    }

    // Rms error against the point with one correction left out, over the winds that are good with all of them.
    private static void Without(TextWriter output, ScenarioMission mission, ScenarioTruth truth, IReadOnlyList<WindError> all)
    {
        var good = all.Where(e => e.Wind.Quality == WindQuality.Good && e.Light != Sunlight.Twilight).Select(Key).ToHashSet();
        double Rms(IReadOnlyList<WindError> errors, string line, Func<WindError, double> error) => WindFigures.Rms(errors.Where(e => e.Line == line && good.Contains(Key(e))).Select(error).Where(double.IsFinite));
        output.WriteLine("\nRms error at the point, m/s, of the winds that are good by day or night with all corrections:\nleft out              | green      red");
        void Row(string name, IReadOnlyList<WindError> errors, Func<WindError, double> error) => output.WriteLine(Text($"{name,-21} | {Rms(errors, "green", error),8:0.0} {Rms(errors, "red", error),8:0.0}"));
        Row("nothing", all, e => e.PointMs);
        Row("inversion", all, e => e.Wind.ApparentMs - e.Point);
        foreach (var (name, corrections) in new (string, Corrections)[]
        {
            ("lamp and thermal", new() { Drift = false }), ("image shift", new() { ImageShift = false }), ("zero wind", new() { ZeroWind = false }),
            ("satellite's motion", new() { SatelliteMotion = false }), ("Earth's rotation", new() { EarthRotation = false }),
        })
            Row(name, WindComparison.Compare(new ScenarioWinds(mission, corrections).Retrieve(), truth), e => e.PointMs);
    }

    private static void Vectors(TextWriter output, IReadOnlyList<LosWindProfile> profiles, ScenarioTruth truth)
    {
        output.WriteLine("\nGood vectors by day and night, against the truth through both looks' averaging kernels and at the point:\nline  truth  |     n | mean east  north | 68 % east  north | error/σ rms   68 %");
        foreach (var line in new[] { "green", "red" })
        {
            var figures = VectorFigures.Of(profiles, truth, line);
            foreach (var (name, f) in new[] { ("kernel", figures.Kernel), ("point", figures.Point) })
                output.WriteLine(Text($"{line,-5} {name,-6} | {figures.Count,5} | {f.EastMs,9:0.00} {f.NorthMs,6:0.00} | {Sixty(f.EastErrors),9:0.0} {Sixty(f.NorthErrors),6:0.0} | {WindFigures.Rms(f.Scaled),11:0.00} {Sixty(f.Scaled),6:0.00}"));
        }
    }

    // An independent simulator's winds, exact drift and shift, phases with the noise of their signal.
    private static void ExampleMissionWinds(TextWriter output)
    {
        if (ExampleMission.Folder is null)
        {
            output.WriteLine("\nThe example mission is not at hand (PHASEKEEPER_SHARED).");
            return;
        }
        output.WriteLine("\nExample mission, two noise seeds, error at the point:\nline  altitude km |     n  good | 68 % m/s  median  median of good | error/σ 68 %   rms | resolution km");
        var points = new List<(LosWind Wind, WindTruth Truth, string Line)>();
        for (ulong seed = 1; seed <= 2; seed++)
            foreach (var group in Core.Tests.Winds.ExampleMissionWinds.Scenes(seed, true).GroupBy(s => (s.Input.Line.Id, s.Input.Fringe.View)))
            {
                var scenes = group.OrderBy(s => s.Input.Fringe.Time.TaiNanoseconds).ToArray();
                var alone = scenes.Select(s => LosWindRetrieval.Retrieve(s.Input, s.Paths)).ToArray();
                for (var i = 0; i < scenes.Length; i++)
                {
                    var (before, after) = (alone.ElementAtOrDefault(i - 1), alone.ElementAtOrDefault(i + 1));
                    var profile = LosWindRetrieval.Retrieve(scenes[i].Input.WithNeighbours(before, alone[i], after), scenes[i].Paths);
                    for (var r = 0; r < profile.Rows.Count; r++) points.Add((profile.Rows[r], scenes[i].Truth[r], group.Key.Id));
                }
            }
        foreach (var (line, low, high) in new[] { ("green", 80, 110), ("green", 110, 200), ("green", 200, 330), ("red", 80, 150), ("red", 150, 200), ("red", 200, 330) })
        {
            var part = points.Where(p => p.Line == line && p.Truth.AltitudeKm >= low && p.Truth.AltitudeKm < high && double.IsFinite(p.Wind.WindMs)).ToArray();
            double[] errors = [.. part.Select(p => p.Wind.WindMs - p.Truth.LosMs)];
            double[] scaled = [.. part.Select((p, i) => errors[i] / p.Wind.SigmaMs)];
            var good = part.Where(p => p.Wind.Quality == WindQuality.Good).Select(p => p.Wind.WindMs - p.Truth.LosMs).ToArray();
            if (good.Length == 0) continue;
            output.WriteLine(Text($"{line,-5} {low,3}–{high,-7} | {part.Length,5} {100.0 * good.Length / part.Length,3:0} % | {Sixty(errors),8:0.00} {WindFigures.Quantile(errors, 0.5),7:0.00} {WindFigures.Quantile(good, 0.5),15:0.00} | {Sixty(scaled),12:0.00} {WindFigures.Rms(scaled),5:0.00} | {WindFigures.Quantile(part.Select(p => p.Wind.VerticalResolutionKm), 0.5),13:0.0}"));
        }
    }

    private static (long, string, string, int) Key(WindError e) => (e.Exposure, e.View, e.Line, e.Wind.Row);

    private static double Sixty(IEnumerable<double> errors) => WindFigures.Quantile(errors.Select(Math.Abs), 0.6827);

    private static string Text(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
