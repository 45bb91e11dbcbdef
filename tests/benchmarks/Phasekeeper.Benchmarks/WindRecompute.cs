using System.Diagnostics;
using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using Microsoft.Extensions.Logging.Abstractions;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Winds;
using Phasekeeper.Demo.Scenario;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Pipeline.Intake;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Storage;

namespace Phasekeeper.Benchmarks;

/// <summary>
/// Takes in days of the demo mission, then makes all winds again from stored phases: how long line-of-sight winds, vectors and their assessment take, and how much room
/// they need, and where the time goes. A second round with nothing changed shows what telling "nothing changed" costs. The fingerprint over all stored numbers tells whether two versions of the
/// program make the same winds, bit for bit. A kept folder is taken up again, so that two versions can be compared on the same data.
/// </summary>
internal static class WindRecompute
{
    /// <summary>Prints the figures.</summary>
    public static async Task PrintAsync(TextWriter output, int days, string? keep)
    {
        var root = keep is null ? Directory.CreateTempSubdirectory("pk-winds-").FullName : Path.GetFullPath(keep);
        var again = Directory.Exists(Path.Combine(root, "data"));
        try
        {
            var generator = new ScenarioGenerator(DemoScenario.Default);
            if (!again) generator.WriteProfile(Path.Combine(root, "profile"));
            var folder = MissionFolder.Load(Path.Combine(root, "profile"));
            using var stores = Stores.Open(Path.Combine(root, "data"));
            var changes = new ChangeFeed(TimeProvider.System);
            using var intake = new IntakeService(stores, IntakeRules.Of(folder.Profile, folder.Plan), changes, TimeProvider.System);
            using var engine = new PipelineEngine(stores, folder, changes, TimeProvider.System, NullLogger<PipelineEngine>.Instance);
            await engine.LoadAsync(CancellationToken.None);
            var start = Stopwatch.GetTimestamp();
            for (var day = 0; day < days && !again; day++)
            {
                var from = generator.FirstPacket.AddSeconds(day * 86400.0);
                await intake.IngestAsync(generator.PacketsFor(from, from.AddSeconds(86400), Environment.ProcessorCount), $"winds:{from.UtcDate:yyyy-MM-dd}.pkt", Actor.System);
                await engine.DrainAsync(CancellationToken.None);
            }
            await output.WriteLineAsync(again ? $"The days in {root}."
                : FormattableString.Invariant($"{days} days generated, taken in and processed through winds and flags in {Stopwatch.GetElapsedTime(start).TotalSeconds:0.0} s."));

            // A kept folder of another version makes its winds anew by itself.
            await engine.DrainAsync(CancellationToken.None);
            var orbits = stores.Winds.OrbitsWithWinds(int.MinValue, int.MaxValue);
            await RoundAsync(output, stores, engine, orbits, "All winds again", forget: true);
            await RoundAsync(output, stores, engine, orbits, "With nothing changed", forget: false);
            await output.WriteLineAsync($"Fingerprint of line-of-sight winds: {Fingerprint(stores, "SELECT time, exposure, view, line, orbit, vectors, correlationKm, topScaleHeightKm, misfitChiSquare FROM losWind ORDER BY time, exposure, view, line")}");
            await output.WriteLineAsync($"Fingerprint of wind vectors: {Fingerprint(stores, "SELECT orbit, line, exposure, exposureTime, vectors FROM windVector ORDER BY exposureTime, exposure, line, orbit")}");
            var rows = stores.Winds.Read(Instant.MinValue, Instant.MaxValue).SelectMany(w => w.Profile.Rows).ToList();
            var bytes = stores.Database.Read(c => Dapper.SqlMapper.QuerySingle<(long, long)>(c,
                "SELECT (SELECT sum(length(vectors)) FROM losWind), (SELECT sum(length(vectors)) FROM windVector)"));
            await output.WriteLineAsync(FormattableString.Invariant(
                $"{stores.Winds.Size().Count} profiles, {rows.Count} rows, {bytes.Item1 / 1e6:0.0} MB ({bytes.Item1 / (double)stores.Winds.Size().Count:0} bytes a profile); vectors {bytes.Item2 / 1e6:0.0} MB. Good {100.0 * rows.Count(r => r.Quality == WindQuality.Good) / rows.Count:0} %, doubtful {100.0 * rows.Count(r => r.Quality == WindQuality.Doubtful) / rows.Count:0} %."));
            foreach (var reason in rows.SelectMany(r => r.Reasons).GroupBy(r => r.Word).OrderByDescending(g => g.Count()))
                await output.WriteLineAsync(FormattableString.Invariant($"  {reason.Key}: {100.0 * reason.Count() / rows.Count:0.0} % of rows"));
        }
        finally
        {
            if (keep is null) Directory.Delete(root, recursive: true);
        }
    }

    private static string Fingerprint(Stores stores, string query) => stores.Database.Read(c =>
    {
        using var hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        using var reader = Dapper.SqlMapper.ExecuteReader(c, query);
        while (reader.Read())
            for (var i = 0; i < reader.FieldCount; i++)
                hash.AppendData(reader.GetValue(i) as byte[] ?? Encoding.UTF8.GetBytes(Convert.ToString(reader.GetValue(i), CultureInfo.InvariantCulture) + ";"));
        return Convert.ToHexStringLower(hash.GetHashAndReset())[..16];
    });

    private static async Task RoundAsync(TextWriter output, Stores stores, PipelineEngine engine, IReadOnlyList<int> orbits, string title, bool forget)
    {
        var now = Instant.FromDateTimeUtc(DateTime.UtcNow);
        await stores.Database.WriteAsync(t =>
        {
            if (forget) foreach (var orbit in orbits) WindStore.ReplaceOrbit(t, orbit, []);
            WorkQueue.Mark(t, WorkKinds.Winds, orbits.Select(o => (long)o), now);
        });
        using var stages = new StageCpu();
        var (start, cpu) = (Stopwatch.GetTimestamp(), Process.GetCurrentProcess().TotalProcessorTime);
        await engine.DrainAsync(CancellationToken.None);
        var (wall, used) = (Stopwatch.GetElapsedTime(start).TotalSeconds, (Process.GetCurrentProcess().TotalProcessorTime - cpu).TotalSeconds);
        await output.WriteLineAsync(FormattableString.Invariant($"{title}: {orbits.Count} orbits in {wall:0.0} s ({1000 * wall / orbits.Count:0} ms an orbit), {used:0.0} s of processor time ({string.Join(", ", stages.Seconds.Select(s => FormattableString.Invariant($"{s.Key} {s.Value:0.0}")))})."));
    }
}
