using System.Globalization;
using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Limb;
using Phasekeeper.Core.Orbits.Files;
using Phasekeeper.Core.Winds;
using Phasekeeper.Demo.ForwardModel;
using Phasekeeper.Tests;
using Xunit.Abstractions;

namespace Phasekeeper.Demo.Tests.Winds;

/// <summary>
/// A body that is rolled by 0.5°, which moves tangent points by more than ten kilometres, up in one half of the sky and down in the other: taken out when attitude data report it, and ruinous when they do not.
/// The scenario's events know yaw alone, so measured exposures (noise, drift, shift as they are) get what the forward model says that a rolled body sees instead.
/// </summary>
public sealed class RolledBodyTests(ITestOutputHelper output)
{
    private const double RollDeg = 0.5;

    [Fact]
    public void A_roll_that_attitude_data_report_is_taken_out_and_one_that_they_do_not_ruins_the_winds()
    {
        var generator = Generators.Quiet;
        var mission = new ScenarioMission(generator, 24, 34.5);
        var truth = new ScenarioTruth(generator);
        var report = AemFile.Read("roll.aem", AttitudeFileText.Write(mission.From, mission.To, 10, t => AttitudeFileText.Turned(generator.Orbit.StateAt(t), rollDeg: RollDeg))).Value;

        // The geometry by itself, against the scenario's own, which shares no code with the product's: motion and tangent height of every row.
        List<double> moved = [], offHeight = [], motionLeft = [], heightLeft = [], motionBare = [];
        foreach (var view in generator.Instrument.Model.Views)
            for (var minutes = 200.0; minutes < 400; minutes += 7)
            {
                var time = mission.From.AddSeconds(minutes * 60);
                var (told, nominal, seen) = (mission.Looks(time, view.Id, report), mission.Looks(time, view.Id), truth.At(time, view.Id, RollDeg).Rows);
                for (var r = 0; r < seen.Length; r++)
                {
                    motionLeft.Add(told[r].MotionMs - seen[r].MotionMs);
                    heightLeft.Add(told[r].TangentAltitudeM * 1e-3 - seen[r].Tangent.AltitudeKm);
                    motionBare.Add(nominal[r].MotionMs - seen[r].MotionMs);
                    offHeight.Add(nominal[r].TangentAltitudeM * 1e-3 - seen[r].Tangent.AltitudeKm);
                }
            }
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"told: motion within {motionLeft.Max(Math.Abs):0.0000} m/s, height within {heightLeft.Max(Math.Abs) * 1e3:0.0} m; not told: motion off by {motionBare.Min(Math.Abs):0.0} to {motionBare.Max(Math.Abs):0.0} m/s, height by {offHeight.Min(Math.Abs):0.0} to {offHeight.Max(Math.Abs):0.0} km"));
        Assert.All(motionLeft, m => Assert.InRange(m, -0.1, 0.1));
        Assert.All(heightLeft, h => Assert.InRange(h, -0.05, 0.05));
        // A turn about the track leaves the satellite's speed along the look as it is: only the Earth's rotation tells it. It is the height that is lost.
        Assert.InRange(motionBare.Max(Math.Abs), 0.5, 3);
        Assert.All(offHeight, h => Assert.True(Math.Abs(h) > 10, $"{h} km"));

        FringeResult Rolled(FringeResult fringe) => OfRolledBody(generator.Instrument, fringe, truth.At(fringe.Time, fringe.View).Rows, truth.At(fringe.Time, fringe.View, RollDeg).Rows);
        // Winds against the truth at the place where they are said to be.
        WindFigures Figures(Corrections corrections, double rollDeg)
        {
            var good = new ScenarioWinds(mission, corrections).Retrieve().Where(p => p.Line == "green" && p.MatrixRows.Length > 0)
                .SelectMany(p =>
                {
                    var exposure = truth.At(p.Time, p.View, rollDeg);
                    var seen = exposure.ThroughKernel(p);
                    return p.MatrixRows.Select((row, k) => new WindError(p.Exposure, p.View, p.Line, WindComparison.LightOf(exposure.SunCosine(row)), p.Rows[row], seen[k], exposure.Rows[row].LineOfSightWindMs));
                }).Where(e => e is { Wind.Quality: WindQuality.Good, Light: Sunlight.Day }).ToArray();
            Assert.True(good.Length > 200, $"{good.Length} winds");
            return WindFigures.Of(good);
        }
        var straight = Figures(Corrections.All, 0);
        var reported = Figures(new Corrections { Attitude = report, Seen = Rolled }, RollDeg);
        var silent = Figures(new Corrections { Seen = Rolled }, 0);
        foreach (var (name, f) in new[] { ("no roll", straight), ("roll, told", reported), ("roll, not told", silent) })
            output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{name}: {f.Count} winds, bias {f.BiasMs:0.00} ± {f.BiasSigmaMs:0.00} m/s, 68 % {f.Point68Ms:0.0} m/s, error/σ {f.KernelRatio:0.00}"));
        Assert.InRange(reported.BiasMs, -1, 1);
        Assert.InRange(reported.KernelRatio, 0.85, 1.15);
        Assert.InRange(reported.Point68Ms / straight.Point68Ms, 0.8, 1.25);
        Assert.True(silent.KernelRatio > 2 * reported.KernelRatio, $"{silent.KernelRatio}");
        Assert.True(silent.Point68Ms > 1.5 * reported.Point68Ms, $"{silent.Point68Ms} m/s");
    }

    // Phase, signal and visibility change by what the forward model says of the two lights and motions; the measured noise stays.
    private static FringeResult OfRolledBody(Tern instrument, FringeResult fringe, LimbSight[] straight, LimbSight[] rolled)
    {
        var optics = instrument.Optics.Single(o => o.View.Id == fringe.View && o.Line.Id == fringe.Line);
        double[] phase = [.. fringe.PhaseRad], signal = [.. fringe.SignalElectrons], visibility = [.. fringe.Visibility];
        for (var r = 0; r < phase.Length; r++)
        {
            var (was, seen) = fringe.Line == "green" ? (straight[r].Green, rolled[r].Green) : (straight[r].Red, rolled[r].Red);
            var turn = Math.Atan2(seen.C0Im, seen.C0Re) - Math.Atan2(was.C0Im, was.C0Re) - optics.Kappa * (rolled[r].MotionMs - straight[r].MotionMs);
            phase[r] = Math.IEEERemainder(phase[r] + turn, 2 * Math.PI);
            signal[r] *= seen.Emission / was.Emission;
            visibility[r] *= Contrast(seen) / Contrast(was);
        }
        return fringe with { PhaseRad = phase, SignalElectrons = signal, Visibility = visibility };
    }

    private static double Contrast(LineOfSightLight light) => Math.Sqrt(light.C0Re * light.C0Re + light.C0Im * light.C0Im) / light.Emission;
}
