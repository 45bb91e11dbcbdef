extern alias sparse;

using System.Diagnostics;
using System.Globalization;
using System.Text;
using System.Text.Json.Nodes;
using Microsoft.Extensions.Logging.Abstractions;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Flags.Rules;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Pipeline.Intake;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;
using sparse::Phasekeeper.Demo.Profile;
using sparse::Phasekeeper.Demo.Scenario;

namespace Phasekeeper.Benchmarks;

/// <summary>
/// Makes a mission of up to five years (27,000 orbits) in a folder, at the reduced cadence of Phasekeeper.FiveYears, through intake and engine as packets come: an orbit file a month,
/// some days of packets at a time. It can be stopped at any moment and goes on where it was.
/// </summary>
internal static class FiveYears
{
    /// <summary>Days of five years.</summary>
    public const int Days = 1826;

    private const int StepDays = 5, FileDays = 30;
    private const double DayS = 86400;

    /// <summary>Makes what is missing, and prints what each month took.</summary>
    /// <param name="output">Where the lines go.</param>
    /// <param name="folder">Folder of the mission: its profile and its data.</param>
    /// <param name="days">Days.</param>
    public static async Task MakeAsync(TextWriter output, string folder, int days)
    {
        var generator = new ScenarioGenerator(DemoScenario.Default, events: []);
        var start = generator.Scenario.Start;
        var (profile, progress) = (Path.Combine(folder, "profile"), Path.Combine(folder, "days-done"));
        if (!File.Exists(progress))
        {
            generator.WriteProfile(profile, start.AddSeconds((FileDays + 1) * DayS));
            await LeaveOutAsync(profile, new PhaseResidualKind().Id);
            await File.WriteAllTextAsync(progress, "0");
        }
        var done = int.Parse(await File.ReadAllTextAsync(progress), CultureInfo.InvariantCulture);
        if (done >= days) return;

        var clock = new MissionClock { Now = start.AddSeconds(done * DayS) };
        var mission = MissionFolder.Load(profile);
        using var stores = Stores.Open(Path.Combine(folder, "data"));
        var changes = new ChangeFeed(clock);
        using var intake = new IntakeService(stores, IntakeRules.Of(mission.Profile, mission.Plan), changes, clock);
        using var engine = new PipelineEngine(stores, mission, changes, clock, NullLogger<PipelineEngine>.Instance);
        await engine.LoadAsync(CancellationToken.None);
        using var stages = new StageCpu();
        var (watch, reported) = (Stopwatch.StartNew(), done);
        while (done < days)
        {
            var next = Math.Min(days, (done / StepDays + 1) * StepDays);
            var (from, to) = (done == 0 ? generator.FirstPacket : start.AddSeconds(done * DayS), start.AddSeconds(next * DayS));
            clock.Now = to;
            if (done % FileDays == 0) await intake.IngestAsync(OrbitOf(generator, from, to.AddSeconds((FileDays + 1) * DayS)), $"inbox:orbit-{done:0000}.oem", Actor.System);
            var packets = generator.PacketsFor(from, to, Environment.ProcessorCount);
            stages.Add("making packets");
            await intake.IngestAsync(packets, "five-years", Actor.System);
            stages.Add("intake");
            await engine.DrainAsync(CancellationToken.None);
            await File.WriteAllTextAsync(progress, next.ToString(CultureInfo.InvariantCulture));
            done = next;
            if (done % FileDays != 0 && done < days) continue;
            await output.WriteLineAsync(string.Create(CultureInfo.InvariantCulture,
                $"day {done,4}: {watch.Elapsed.TotalSeconds / (done - reported):0.00} s a day; processor s: {string.Join(", ", stages.Seconds.OrderByDescending(s => s.Value).Take(8).Select(s => string.Create(CultureInfo.InvariantCulture, $"{s.Key} {s.Value:0.0}")))}; {GC.GetTotalMemory(false) / 1e6:0} MB"));
            reported = done;
            watch.Restart();
        }
    }

    // A rule about the mean of an orbit's scenes expects them all around it; four at one place would flag the winds there.
    private static async Task LeaveOutAsync(string profile, string rule)
    {
        var rules = MissionFolder.Load(profile).Rules;
        await File.WriteAllTextAsync(Path.Combine(profile, "rules.json"), RuleSetWriter.Write(rules with { Rules = [.. rules.Rules.Where(r => r.Kind != rule)] }));
        var file = Path.Combine(profile, "profile.json");
        var json = JsonNode.Parse(await File.ReadAllTextAsync(file))!;
        json["rules"] = "rules.json";
        await File.WriteAllTextAsync(file, json.ToJsonString());
    }

    private static byte[] OrbitOf(ScenarioGenerator generator, Instant from, Instant to) => Encoding.UTF8.GetBytes(OrbitFile.Write(generator.Orbit, from.AddSeconds(-DayS), to, from));
}
