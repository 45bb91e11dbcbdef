using System.Diagnostics;
using Microsoft.Extensions.Logging.Abstractions;
using Phasekeeper.Core.Time;
using Phasekeeper.Demo.Scenario;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Pipeline.Intake;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Benchmarks;

/// <summary>
/// Runs the whole demo mission, from packets to flags, once with its diary of injected events and once without: what of the diary was found, by which rule, and
/// what was raised on quiet days. Slow drifts that are part of the instrument (lamp ageing, dark growth) are in both.
/// </summary>
internal static class DiaryTable
{
    private const double MarginHours = 3.5; // two orbits: a rule may need the neighbours of the orbit on which something happened

    /// <summary>Prints both tables.</summary>
    public static async Task PrintAsync(TextWriter output, int days)
    {
        var scenario = DemoScenario.Default;
        var end = scenario.Start.AddSeconds(days * 86400.0);
        var withEvents = await RunAsync(output, scenario, scenario.Events, end);
        await output.WriteLineAsync("\nInjected events\n| event | kind | from | found | by | first orbit |\n| --- | --- | --- | --- | --- | --- |");
        foreach (var e in scenario.Events.Where(e => scenario.At(e.StartHours) < end))
        {
            var (from, to) = (scenario.At(e.StartHours - MarginHours), scenario.At(Math.Min(e.EndHours, e.StartHours + 24) + MarginHours));
            var near = withEvents.Where(f => f.From <= to && f.To >= from && f.From >= from.AddSeconds(-86400)).ToArray();
            var rules = string.Join(", ", near.Where(f => f.From >= from).Select(f => f.Rule).Distinct().Order(StringComparer.Ordinal));
            await output.WriteLineAsync($"| {e.Name} | {e.Kind} | {scenario.At(e.StartHours)} | {(rules.Length > 0 ? "yes" : "NO")} | {rules} | {near.Where(f => f.From >= from).Min(f => f.FirstOrbit)} |");
        }
        var quiet = await RunAsync(output, scenario, [], end);
        await output.WriteLineAsync($"\nFlags without any event, {days} days\n| rule | subject | severity | orbits | message |\n| --- | --- | --- | --- | --- |");
        foreach (var f in quiet) await output.WriteLineAsync($"| {f.Rule} | {f.Subject} {f.View} {f.Line} | {f.Severity} | {f.FirstOrbit}–{f.LastOrbit} | {f.Message} |");
        await output.WriteLineAsync($"\n{quiet.Count} flags, {quiet.Count(f => f.Severity == "critical")} critical.");
    }

    private static async Task<IReadOnlyList<FlagRow>> RunAsync(TextWriter output, DemoScenario scenario, IReadOnlyList<ScenarioEvent> events, Instant end)
    {
        var root = Directory.CreateTempSubdirectory("pk-diary-").FullName;
        try
        {
            var generator = new ScenarioGenerator(scenario, events: events);
            generator.WriteProfile(Path.Combine(root, "profile"));
            var folder = MissionFolder.Load(Path.Combine(root, "profile"));
            using var stores = Stores.Open(Path.Combine(root, "data"));
            var changes = new ChangeFeed(TimeProvider.System);
            using var intake = new IntakeService(stores, IntakeRules.Of(folder.Profile, folder.Plan), changes, TimeProvider.System);
            using var engine = new PipelineEngine(stores, folder, changes, TimeProvider.System, NullLogger<PipelineEngine>.Instance);
            await engine.LoadAsync(CancellationToken.None);
            long bytes = 0;
            double generatedS = 0, ingestedS = 0, processedS = 0;
            // A day at a time, in order, as a mission lives.
            for (var from = generator.FirstPacket; from < end; from = from.AddSeconds(86400))
            {
                var to = from.AddSeconds(86400) < end ? from.AddSeconds(86400) : end;
                var start = Stopwatch.GetTimestamp();
                var packets = generator.PacketsFor(from, to, Environment.ProcessorCount);
                generatedS += Stopwatch.GetElapsedTime(start).TotalSeconds;
                start = Stopwatch.GetTimestamp();
                await intake.IngestAsync(packets, $"diary:{from.UtcDate:yyyy-MM-dd}.pkt");
                ingestedS += Stopwatch.GetElapsedTime(start).TotalSeconds;
                start = Stopwatch.GetTimestamp();
                await engine.DrainAsync(CancellationToken.None);
                processedS += Stopwatch.GetElapsedTime(start).TotalSeconds;
                bytes += packets.Length;
            }
            var totals = stores.Ingest.Totals();
            await output.WriteLineAsync(FormattableString.Invariant(
                $"{(events.Count > 0 ? "With" : "Without")} events: {totals.Stored} packets, {bytes / 1e6:0} MB; generated in {generatedS:0.0} s, taken in in {ingestedS:0.0} s, processed to flags in {processedS:0.0} s: {totals.Stored / (ingestedS + processedS):0} packets/s, {bytes / 1e6 / (ingestedS + processedS):0.0} MB/s from file to products."));
            return [.. stores.Flags.List(Instant.MinValue, Instant.MaxValue, 100_000).Items.Where(f => f.State != "withdrawn")];
        }
        finally
        {
            Directory.Delete(root, recursive: true);
        }
    }
}
