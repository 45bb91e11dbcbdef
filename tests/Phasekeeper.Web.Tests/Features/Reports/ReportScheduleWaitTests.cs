using Dapper;
using Microsoft.Extensions.Logging.Abstractions;
using Microsoft.Extensions.Options;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Storage;
using Phasekeeper.Tests;
using Phasekeeper.Web.Features.Reports;
using Phasekeeper.Web.Hosting;

namespace Phasekeeper.Web.Tests.Features.Reports;

/// <summary>A scheduled report waits for the work on its days.</summary>
public sealed class ReportScheduleWaitTests : IDisposable
{
    private static readonly DateOnly Friday = new(2031, 5, 9);
    private readonly string folder = Directory.CreateTempSubdirectory("phasekeeper-review-").FullName;
    private readonly Stores stores;

    public ReportScheduleWaitTests() => stores = Stores.Open(folder);

    public void Dispose()
    {
        stores.Dispose();
        TestFolder.Delete(folder);
    }

    [Theory]
    [InlineData("none", false)]
    [InlineData(WorkKinds.Assess, true)]
    [InlineData(WorkKinds.Winds, true)]
    [InlineData(WorkKinds.Vectors, true)]
    [InlineData(WorkKinds.Orbit, true)]
    [InlineData(WorkKinds.Decode, true)]
    public async Task No_report_is_made_while_the_days_data_are_in_work(string kind, bool waits)
    {
        var start = Instant.StartOf(Friday).AddSeconds(600);
        var newest = Instant.StartOf(Friday).AddSeconds(86400 + 7200);
        await stores.Database.WriteAsync(t =>
        {
            OrbitStore.Replace(t, new() { Orbit = 1, Start = start, End = start.AddSeconds(5760), Verdict = "usable" });
            t.Connection!.Execute("PRAGMA defer_foreign_keys = ON", transaction: t);
            var columns = t.Connection!.Query<(string Name, string Type)>("SELECT name, type FROM pragma_table_info('archiveSegment') WHERE name <> 'id' AND \"notnull\" = 1", transaction: t).ToList();
            t.Connection!.Execute($"INSERT INTO archiveSegment (id{string.Concat(columns.Select(c => ", " + c.Name))}) VALUES (1{string.Concat(columns.Select(c => c.Type == "TEXT" ? ", 'x'" : c.Type == "BLOB" ? ", x'00'" : ", 1"))})", transaction: t);
            t.Connection!.Execute("INSERT INTO archiveBlock (segment, hour, offset, length, rawLength, count, joined, firstTime, lastTime, places) VALUES (1, 0, 0, 1, 1, 1, 1, @n, @n, x'00')", new { n = newest.TaiNanoseconds }, t);
            if (kind == WorkKinds.Decode) WorkQueue.Mark(t, kind, (long)Math.Floor(start.TaiNanoseconds / 3.6e12), newest);
            else if (kind != "none") WorkQueue.Mark(t, kind, 1, newest);
        });
        var due = new ReportSchedule(stores, null!, null!, TimeProvider.System, Options.Create(new PhasekeeperOptions { Profile = "p", Reports = new() { Daily = true, Weekly = false } }), NullLogger<ReportSchedule>.Instance).Due();
        Assert.Equal(waits, due.Count == 0);
    }
}
