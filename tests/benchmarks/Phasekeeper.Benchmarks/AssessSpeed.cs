using System.Globalization;
using Dapper;
using Phasekeeper.Core.Time;
using Phasekeeper.Demo.Scenario;

namespace Phasekeeper.Benchmarks;

/// <summary>
/// Processor time an orbit of live data costs behind a history of some length: three quiet days of the demo, before which copies of their orbits and tracker values
/// (not of their telemetry) stand, then half a day in steps of two hours.
/// </summary>
internal static class AssessSpeed
{
    private const int Days = 3;
    private const double OrbitNs = 5760e9;

    public static async Task PrintAsync(TextWriter output, IReadOnlyList<int> histories)
    {
        var scenario = DemoScenario.Default;
        var end = scenario.Start.AddSeconds(Days * 86400.0);
        foreach (var history in histories)
        {
            using var mission = new DiaryMission(new ScenarioGenerator(scenario, events: []), null);
            await mission.RunAsync(end, 24, _ => { });
            await LengthenAsync(mission, history);
            // The first step pays for what was put in; the others are what a live mission pays.
            await mission.RunAsync(end.AddSeconds(7200), 2, _ => { });
            var before = mission.Cpu.Seconds.ToDictionary();
            var orbits = mission.Stores.Orbits.Count;
            await mission.RunAsync(end.AddSeconds(7200 + 43200), 2, _ => { });
            var count = mission.Stores.Orbits.Count - orbits;
            var parts = string.Join(", ", mission.Cpu.Seconds.Select(p => string.Create(CultureInfo.InvariantCulture, $"{p.Key} {(p.Value - before.GetValueOrDefault(p.Key)) / count:0.000}")));
            await output.WriteLineAsync(string.Create(CultureInfo.InvariantCulture, $"{orbits} orbits: first assessments {before["assess"]:0.0} s; CPU seconds an orbit: {parts}"));
        }
    }

    private static Task LengthenAsync(DiaryMission mission, int history) => mission.Stores.Database.WriteAsync(t =>
    {
        var c = t.Connection!;
        var there = c.Query<int>("SELECT orbit FROM orbit ORDER BY orbit", transaction: t).ToArray();
        var sources = there[5..^5];
        for (var k = 1; k <= history - there.Length; k++)
        {
            var source = sources[^(1 + (k - 1) % sources.Length)];
            var (orbit, shift) = (there[0] - k, (long)((source - there[0] + k) * OrbitNs));
            c.Execute(
                """
                INSERT INTO orbit (orbit, start, "end", expectedExposures, receivedExposures, expectedRows, receivedRows, verdict, verdictReasons, provisional, detail)
                SELECT @orbit, @start, @start + @length, expectedExposures, receivedExposures, expectedRows, receivedRows, verdict, verdictReasons, 0, detail FROM orbit WHERE orbit = @source
                """, new { orbit, source, start = c.ExecuteScalar<long>("SELECT start FROM orbit WHERE orbit = @first", new { first = there[0] }, t) - (long)(k * OrbitNs), length = (long)OrbitNs }, t);
            c.Execute(
                """
                INSERT INTO trackerValue (series, orbit, time, value, sigma, n, provisional, state)
                SELECT series, @orbit, time - @shift, value, sigma, n, provisional, 'provisional' FROM trackerValue WHERE orbit = @source
                """, new { orbit, source, shift }, t);
        }
    });
}
