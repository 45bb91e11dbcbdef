using System.Globalization;
using Phasekeeper.Core.Time;
using Phasekeeper.Demo.Scenario;
using Phasekeeper.Storage;

namespace Phasekeeper.Benchmarks;

/// <summary>
/// Runs the whole demo mission, from packets to flags, once with its diary of injected events and once without: what of the diary was found, by which rule, how
/// soon and how large, and what was raised on quiet days. Slow drifts that are part of the instrument (lamp ageing, dark growth) are in both.
/// </summary>
internal static class DiaryTable
{
    // Chosen: four orbits. A flag may begin with the orbit in which the event begins, and a rule that wants two orbits in a row begins with the first of them.
    private const double MarginHours = 6.4;

    /// <summary>Prints both tables.</summary>
    public static async Task PrintAsync(TextWriter output, DiaryOptions options)
    {
        var (days, seed, runs, keep, _) = options;
        var scenario = DemoScenario.Default;
        var end = scenario.Start.AddSeconds(days * 86400.0);
        if (runs != "quiet")
        {
            using var mission = await RunAsync(output, new ScenarioGenerator(scenario, seed), end, options.StepHours, keep is null ? null : Path.Combine(keep, "events"));
            await PrintEventsAsync(output, mission, scenario, end);
        }
        if (runs != "events")
        {
            using var mission = await RunAsync(output, new ScenarioGenerator(scenario, seed, []), end, 24, keep is null ? null : Path.Combine(keep, "quiet"));
            var flags = Standing(mission);
            await output.WriteLineAsync($"\nFlags without any event, {days} days\n");
            await PrintFlagsAsync(output, flags);
            await output.WriteLineAsync($"\n{flags.Count} flags, {flags.Count(f => f.Severity == "critical")} critical.");
        }
    }

    private static async Task<DiaryMission> RunAsync(TextWriter output, ScenarioGenerator generator, Instant end, double stepHours, string? folder)
    {
        var mission = new DiaryMission(generator, folder);
        var before = new Dictionary<string, double>();
        long orbitsBefore = 0;
        // What stands at the end does not depend on the steps; how soon it was raised does.
        await mission.RunAsync(end, stepHours, day =>
        {
            var orbits = mission.Stores.Orbits.Count;
            var parts = mission.Cpu.Seconds.Select(s => (s.Key, Value: s.Value - before.GetValueOrDefault(s.Key))).ToArray();
            output.WriteLine(string.Create(CultureInfo.InvariantCulture,
                $"{day}: {orbits} orbits; CPU seconds an orbit: {string.Join(", ", parts.Select(p => $"{p.Key} {p.Value / Math.Max(1, orbits - orbitsBefore):0.000}"))}"));
            foreach (var (key, value) in mission.Cpu.Seconds) before[key] = value;
            orbitsBefore = orbits;
        });
        var totals = mission.Stores.Ingest.Totals();
        var work = mission.Cpu.Seconds.Where(s => s.Key != "making packets").Sum(s => s.Value);
        await output.WriteLineAsync(string.Create(CultureInfo.InvariantCulture,
            $"{(generator.Events.Count > 0 ? "With" : "Without")} events, seed {generator.Seed}: {totals.Stored} packets, {mission.Bytes / 1e6:0} MB, {mission.Stores.Orbits.Count} orbits; "
            + $"from file to flags {work:0} CPU seconds: {totals.Stored / work:0} packets and {mission.Bytes / 1e6 / work:0.0} MB a CPU second."));
        return mission;
    }

    private static async Task PrintEventsAsync(TextWriter output, DiaryMission mission, DemoScenario scenario, Instant end)
    {
        var all = mission.Stores.Flags.List(Instant.MinValue, Instant.MaxValue, 100_000).Items;
        var flags = all.Where(f => f.State != "withdrawn").ToArray();
        var explained = new HashSet<string>();
        await output.WriteLineAsync("\nInjected events\n\n| event | begins | found by | delay, h | injected | measured | other rules |\n| --- | --- | --- | ---: | --- | --- | --- |");
        foreach (var e in scenario.Events.Where(e => scenario.At(e.StartHours) < end))
        {
            var (from, to) = (scenario.At(e.StartHours), scenario.At(Math.Min(e.EndHours, e.StartHours + 24) + MarginHours));
            var near = flags.Where(f => f.From < to && f.To >= from && f.From >= from.AddSeconds(-2 * 3600)).OrderBy(f => f.Raised).ThenBy(f => f.Id, StringComparer.Ordinal).ToArray();
            explained.UnionWith(near.Select(f => f.Id));
            var own = DiaryExpectation.RulesOf(e);
            // Data that come late take their flags back.
            var candidates = e.DeliveredHours is null ? near : [.. all.Where(f => f.From >= from.AddSeconds(-2 * 3600) && f.From < to && f.State == "withdrawn").OrderBy(f => f.Raised)];
            var found = candidates.Where(f => own.Contains(f.Rule)).ToArray();
            var rules = string.Join(", ", found.Select(f => f.Rule).Distinct()) + (e.DeliveredHours is { } hours && found.Length > 0 ? string.Create(CultureInfo.InvariantCulture, $" (withdrawn when the data came, after {hours - e.StartHours:0.0} h)") : "");
            var (injected, measured) = DiaryExpectation.Compare(e, found, mission.Stores);
            var others = near.Except(found).GroupBy(f => f.Rule).OrderBy(g => g.Key, StringComparer.Ordinal).Select(g => g.Count() > 1 ? $"{g.Key} ×{g.Count()}" : g.Key);
            await output.WriteLineAsync(string.Create(CultureInfo.InvariantCulture,
                $"| {e.Name} | {from} | {(found.Length > 0 ? rules : own.Count == 0 ? "planned: nothing has to speak" : "**not found**")} | {(found.Length > 0 ? $"{(found[0].Raised - from) / 3600:0.0}" : "")} | {injected} | {measured} | {string.Join(", ", others)} |"));
        }
        await output.WriteLineAsync("\nFlags that no event is near to\n");
        await PrintFlagsAsync(output, [.. flags.Where(f => !explained.Contains(f.Id))]);
        await output.WriteLineAsync("\nFlags near an event\n");
        await PrintFlagsAsync(output, [.. flags.Where(f => explained.Contains(f.Id))]);
    }

    private static async Task PrintFlagsAsync(TextWriter output, IReadOnlyList<FlagRow> flags)
    {
        await output.WriteLineAsync("| rule | subject | severity | orbits | raised | message |\n| --- | --- | --- | --- | --- | --- |");
        foreach (var f in flags)
            await output.WriteLineAsync($"| {f.Rule} | {f.Subject} {f.View} {f.Line} | {f.Severity} | {f.FirstOrbit}–{f.LastOrbit} | {f.Raised} | {f.Message}{(f.ExplainedBy is null ? "" : $" Explained by {f.ExplainedBy}.")} |");
    }

    private static IReadOnlyList<FlagRow> Standing(DiaryMission mission) =>
        [.. mission.Stores.Flags.List(Instant.MinValue, Instant.MaxValue, 100_000).Items.Where(f => f.State != "withdrawn")];
}
