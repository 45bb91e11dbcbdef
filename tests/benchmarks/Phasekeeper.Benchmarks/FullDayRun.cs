using System.Diagnostics;
using System.Globalization;
using System.Runtime;
using Microsoft.Extensions.Logging.Abstractions;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Pipeline.Intake;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Benchmarks;

/// <summary>The measured part of <see cref="FullDay"/>: opens a mission on an empty data folder, takes the day's packets in, and runs the engine until it is idle.</summary>
internal static class FullDayRun
{
    private const double DaySeconds = 86400;

    /// <summary>Runs and prints.</summary>
    /// <param name="output">Where the figures go.</param>
    /// <param name="folder">Folder with the profile and the packets.</param>
    public static async Task PrintAsync(TextWriter output, string folder)
    {
        var data = Path.Combine(folder, "data");
        if (Directory.Exists(data)) Directory.Delete(data, recursive: true);
        using var self = Process.GetCurrentProcess();
        using var stages = new StageCpu();
        stages.Add("start of the program");
        var (start, cpu) = (Stopwatch.GetTimestamp(), self.TotalProcessorTime);

        var mission = MissionFolder.Load(Path.Combine(folder, "profile"));
        using var stores = Stores.Open(data);
        var changes = new ChangeFeed(TimeProvider.System);
        using var intake = new IntakeService(stores, IntakeRules.Of(mission.Profile, mission.Plan), changes, TimeProvider.System);
        using var engine = new PipelineEngine(stores, mission, changes, TimeProvider.System, NullLogger<PipelineEngine>.Instance);
        await engine.LoadAsync(CancellationToken.None);
        stages.Add("opening the mission");
        await using (var packets = File.OpenRead(FullDay.Packets(folder))) await intake.IngestAsync(packets, "inbox:day.pkt", Actor.System);
        stages.Add("intake");
        var taken = Stopwatch.GetElapsedTime(start).TotalSeconds;
        await engine.DrainAsync(CancellationToken.None);

        var wall = Stopwatch.GetElapsedTime(start).TotalSeconds;
        if (!intake.Figures().Idle) throw new InvalidOperationException("The engine stopped with work left; expected all of the day's products. Look at what is set aside.");
        self.Refresh();
        var used = (self.TotalProcessorTime - cpu).TotalSeconds;
        await output.WriteLineAsync(string.Create(CultureInfo.InvariantCulture,
            $"Phasekeeper: {wall:0.00} s (intake {taken:0.00} s), {DaySeconds / wall:#,##0} × real time; {used:0.00} s of processor time ({string.Join(", ", stages.Seconds.OrderByDescending(s => s.Value).Select(s => string.Create(CultureInfo.InvariantCulture, $"{s.Key} {s.Value:0.00}")))})"));
        await output.WriteLineAsync(string.Create(CultureInfo.InvariantCulture,
            $"  memory: peak {PeakBytes() / 1e6:0} MB resident, {GC.GetTotalAllocatedBytes() / 1e9:0.0} GB allocated, {GC.GetTotalPauseDuration().TotalSeconds:0.00} s of pauses, {(GCSettings.IsServerGC ? "server" : "workstation")} collector"));
        await output.WriteLineAsync(Counts(stores, data));
    }

    // What is visible: a day without winds or values would be quick.
    private static string Counts(Stores stores, string data)
    {
        var (from, to) = (Instant.MinValue, Instant.MaxValue);
        var rows = stores.Fringes.Read(from, to).Sum(f => f.Result.Status.Length);
        var winds = stores.Winds.Read(from, to);
        long Count(string sql) => stores.Database.Read(c => Dapper.SqlMapper.QuerySingle<long>(c, sql));
        return string.Create(CultureInfo.InvariantCulture,
            $"  stored: {stores.Ingest.Totals().Stored:#,##0} packets, {rows:#,##0} rows of phases, {winds.Sum(w => w.Profile.Rows.Count):#,##0} winds along the line of sight, {Count("SELECT count(*) FROM windVector"):#,##0} profiles of vectors, {Count("SELECT count(*) FROM orbit")} orbits, {Count("SELECT count(*) FROM trackerValue"):#,##0} tracker values, {Count("SELECT count(*) FROM flag")} flags; {Directory.EnumerateFiles(data, "*", SearchOption.AllDirectories).Sum(f => new FileInfo(f).Length) / 1e6:0.0} MB on disk");
    }

    // The operating system's own figure where there is one; Windows keeps it too.
    private static long PeakBytes()
    {
        var line = File.Exists("/proc/self/status") ? File.ReadLines("/proc/self/status").FirstOrDefault(l => l.StartsWith("VmHWM:", StringComparison.Ordinal)) : null;
        if (line is not null) return 1024 * long.Parse(line.Split(' ', StringSplitOptions.RemoveEmptyEntries)[1], CultureInfo.InvariantCulture);
        using var self = Process.GetCurrentProcess();
        return self.PeakWorkingSet64;
    }
}
