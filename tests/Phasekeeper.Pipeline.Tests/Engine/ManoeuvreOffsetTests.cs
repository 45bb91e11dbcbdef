using System.Globalization;
using System.Text;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Demo.Scenario;
using Phasekeeper.Storage;
using Phasekeeper.Tests;
using Xunit.Abstractions;

namespace Phasekeeper.Pipeline.Tests.Engine;

/// <summary>The demo's manoeuvre, which leaves the body yawed by 0.5°: from packets to the flag that a mission's own rules raise, and its end when attitude data tell.</summary>
public class ManoeuvreOffsetTests(ITestOutputHelper output)
{
    private const string Rule = "phase-residual";

    [Fact]
    public async Task The_offset_that_the_manoeuvre_leaves_is_flagged_from_scene_phases_until_attitude_data_report_it()
    {
        var scenario = DemoScenario.Default;
        var offset = scenario.Events.Single(e => e.Kind == ScenarioEventKind.AttitudeOffset);
        var generator = new ScenarioGenerator(scenario, events: [scenario.Events.Single(e => e.Kind == ScenarioEventKind.Manoeuvre), offset]);
        // The orbits until a series is no longer provisional, and three to begin with (neighbours, lag, one cut); six within, of which the last wait for their neighbours.
        var orbitHours = generator.Orbit.PeriodS / 3600;
        var (from, to) = (scenario.At(offset.StartHours - (SeriesStatistics.ProvisionalOrbits + 3) * orbitHours), scenario.At(offset.StartHours + 6 * orbitHours));
        using var mission = await TestMission.StartAsync(generator);
        await mission.TakeAsync(generator.PacketsFor(from, to, Environment.ProcessorCount));
        await mission.DrainAsync();

        var flags = Flags();
        foreach (var f in flags) output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{f.View} {f.Line} {f.State} {f.Value:0.0} {f.Unit}, {f.From} to {f.To}, {f.Message} {f.ExplainedBy}"));
        Assert.NotEmpty(flags);
        Assert.All(flags, f =>
        {
            // 0.5° is 45 m/s; the winds of the orbits come on top.
            Assert.InRange(f.Value!.Value, 35, 65);
            // Flags are about whole orbits: the first may begin within the orbit in which the body was turned.
            Assert.InRange(f.From - scenario.At(offset.StartHours), -orbitHours * 3600, 2 * orbitHours * 3600);
        });

        var report = AttitudeFileText.Write(scenario.At(offset.StartHours), to, 10, t => AttitudeFileText.Turned(generator.Orbit.StateAt(t), yawDeg: offset.Size));
        await mission.TakeAsync(Encoding.UTF8.GetBytes(report), "test:yaw.aem");
        await mission.DrainAsync();
        Assert.Empty(Flags());
        Assert.All(flags, f => Assert.Equal("withdrawn", mission.Stores.Flags.Get(f.Id)!.State));

        FlagRow[] Flags() => [.. mission.Stores.Flags.List(Instant.MinValue, Instant.MaxValue, 1000, rule: Rule).Items.Where(f => f.State != "withdrawn")];
    }
}
