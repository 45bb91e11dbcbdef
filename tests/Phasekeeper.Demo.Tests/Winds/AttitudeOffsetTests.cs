using Phasekeeper.Core.Flags.Rules;
using Phasekeeper.Core.Limb;
using Phasekeeper.Core.Orbits.Files;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Core.Winds;
using Phasekeeper.Demo.Scenario;
using Phasekeeper.Tests;

namespace Phasekeeper.Demo.Tests.Winds;

/// <summary>The demo's offset of 0.5° of yaw after the manoeuvre: flagged from phases, taken out when attitude data report it, and otherwise in the budget of whoever configures a σ.</summary>
public sealed class AttitudeOffsetTests
{
    [Fact]
    public void An_offset_that_attitude_data_report_is_taken_out_and_one_that_they_do_not_shows_in_the_phases()
    {
        var scenario = DemoScenario.Default;
        var offset = scenario.Events.Single(e => e.Kind == ScenarioEventKind.AttitudeOffset);
        var generator = new ScenarioGenerator(scenario, events: [offset]);
        // Four orbits before it and five within it, of which the middle ones have their neighbours.
        var mission = new ScenarioMission(generator, offset.StartHours - 7.5, offset.StartHours + 8.5);
        var truth = new ScenarioTruth(generator);
        var report = AemFile.Read("yaw.aem", AttitudeFileText.Write(mission.From, mission.To, 10, t => AttitudeFileText.Turned(generator.Orbit.StateAt(t), yawDeg: generator.State.YawErrorDeg(t)))).Value;
        double Rms(AemAttitude? reported, out double bias)
        {
            var profiles = new ScenarioWinds(mission, new Corrections { Attitude = reported }).Retrieve().Where(p => p.Time > scenario.At(offset.StartHours + 1)).ToArray();
            var good = WindComparison.Compare(profiles, truth).Where(e => e is { Wind.Quality: WindQuality.Good, Light: Sunlight.Day, Line: "green" }).ToArray();
            Assert.True(good.Length > 200, $"{good.Length} winds");
            bias = WindFigures.Of(good).BiasMs;
            return WindFigures.Rms(good.Select(e => e.KernelMs / e.Wind.SigmaThroughKernelMs));
        }
        Assert.InRange(Rms(report, out var left), 0.85, 1.15);
        Assert.InRange(left, -1, 1);
        Assert.True(Rms(null, out var bare) > 5);
        // 0.01° is 0.9 m/s, of the same sign in both views.
        Assert.InRange(Math.Abs(bare), 35, 55);

        var tracker = new ScenePhaseResidualTracker();
        var limit = new PhaseResidualKind().Parameters.Single(p => p.Name == "warningLimit").Default;
        var values = new ScenarioWinds(mission, Corrections.All).Analyses.SelectMany(o => TrackerCatalog.Compute(o, TrackerSource.Measurements).Where(v => v.Key.Tracker == tracker.Info.Id)).ToArray();
        var moved = values.GroupBy(v => v.Key).Select(series =>
        {
            var before = series.Where(v => v.Time < scenario.At(offset.StartHours)).Select(v => v.Value).ToArray();
            var within = series.Where(v => v.Time > scenario.At(offset.StartHours + 1)).Select(v => v.Value).ToArray();
            Assert.True(before.Length > 1 && within.Length > 1);
            return within.Average() - before.Average();
        }).ToArray();
        Assert.Equal(4, moved.Length);
        // The same way in both views and lines, and with the winds of the orbits on top beyond the default limit of the flag.
        Assert.All(moved, m => Assert.InRange(Math.Abs(m), 25, 65));
        Assert.Single(moved.Select(Math.Sign).Distinct());
        Assert.True(moved.Max(Math.Abs) > limit, $"{moved.Max(Math.Abs):0} m/s, limit {limit}");
    }

    [Fact]
    public void A_constant_yaw_error_that_nothing_reports_is_carried_as_its_configured_sigma()
    {
        var mission = new ScenarioMission(Generators.Quiet, 24, 34.5);
        var (with, without) = (new ScenarioWinds(mission, new Corrections { YawSigmaDeg = 0.02 }).Retrieve(), new ScenarioWinds(mission, Corrections.All).Retrieve());
        var pairs = with.Zip(without).SelectMany(p => p.First.Rows.Zip(p.Second.Rows)).Where(p => p.Second.Quality == WindQuality.Good && p.Second.KernelDiagonal > 0.8).ToArray();
        Assert.True(pairs.Length > 100);
        Assert.All(pairs, p =>
        {
            Assert.InRange(p.First.Budget.AttitudeMs, 1, 3); // 0.01° is about 0.9 m/s; a wind's weights on other rows raise it
            // The gradient from neighbours weighs their σ, so the winds themselves move a little.
            Assert.InRange(p.First.SigmaMs / Math.Sqrt(p.Second.SigmaMs * p.Second.SigmaMs + p.First.Budget.AttitudeMs * p.First.Budget.AttitudeMs), 0.97, 1.03);
            Assert.InRange(p.First.WindMs - p.Second.WindMs, -1.5, 1.5);
        });
    }
}
