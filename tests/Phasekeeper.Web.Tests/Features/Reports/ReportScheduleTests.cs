using Microsoft.Extensions.Logging.Abstractions;
using Microsoft.Extensions.Options;
using Microsoft.Extensions.Time.Testing;
using Phasekeeper.Core.Time;
using Phasekeeper.Storage;
using Phasekeeper.Tests;
using Phasekeeper.Web.Features.Reports;
using Phasekeeper.Web.Hosting;

namespace Phasekeeper.Web.Tests.Features.Reports;

/// <summary>Which reports are made by themselves, and when; without engine and browser.</summary>
public sealed class ReportScheduleTests : IDisposable
{
    // `date -d 2031-05-09 +%A` says Friday.
    private static readonly DateOnly Friday = new(2031, 5, 9);
    private readonly string folder = Directory.CreateTempSubdirectory("phasekeeper-schedule-").FullName;
    private readonly FakeTimeProvider clock = new(new DateTimeOffset(2031, 6, 1, 0, 0, 0, TimeSpan.Zero));
    private readonly Stores stores;
    private int orbit;

    public ReportScheduleTests() => stores = Stores.Open(folder);

    public void Dispose()
    {
        stores.Dispose();
        TestFolder.Delete(folder);
    }

    // A new one each time: what it knows after a restart is what is stored.
    private string[] Due(double hoursAfterFriday, bool daily = true, bool weekly = false) => [.. new ReportSchedule(stores, null!, null!, clock,
        Options.Create(new PhasekeeperOptions { Profile = "p", Reports = new() { Daily = daily, Weekly = weekly } }), NullLogger<ReportSchedule>.Instance)
        .Due(Instant.StartOf(Friday).AddSeconds(86400 + 3600 * hoursAfterFriday)).Select(s => $"{s.Kind} {s.FirstText}")];

    private Task OrbitsAsync(DateOnly first, int days) => stores.Database.WriteAsync(t =>
    {
        for (var day = 0; day < days; day++)
            OrbitStore.Replace(t, new() { Orbit = ++orbit, Start = Instant.StartOf(first.AddDays(day)).AddSeconds(600), End = Instant.StartOf(first.AddDays(day)).AddSeconds(6360), Verdict = "usable" });
    });

    private Task ReportAsync(string kind, DateOnly first, string actor = "system", string? failure = null) => stores.Database.WriteAsync(t =>
    {
        var span = new ReportSpan(kind, first);
        return ReportStore.Add(t, new() { Kind = kind, First = span.FirstText, Made = Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime), Actor = actor, Ground = ReportGround.Of(stores, span).Hash, Versions = "v", Failure = failure }, failure is null ? [1] : null);
    });

    [Fact]
    public async Task A_day_is_made_once_when_data_of_more_than_an_orbit_after_it_have_come()
    {
        await OrbitsAsync(Friday, 2);
        Assert.Empty(Due(1.6));
        Assert.Equal(["day 2031-05-09"], Due(1.7));
        await ReportAsync("day", Friday);
        Assert.Empty(Due(1.7));
        Assert.Equal(["day 2031-05-10"], Due(25.7));
    }

    [Fact]
    public async Task A_day_without_orbits_has_no_report_and_nothing_is_made_where_none_is_asked_for()
    {
        await OrbitsAsync(Friday.AddDays(1), 1);
        Assert.Empty(Due(2));
        await OrbitsAsync(Friday, 1);
        Assert.Empty(Due(2, daily: false));
    }

    [Fact]
    public async Task Days_of_a_pause_are_made_up_for_oldest_first_and_the_first_time_begins_with_the_newest()
    {
        await OrbitsAsync(Friday.AddDays(-40), 60);
        Assert.Equal(["day 2031-05-09"], Due(2));
        await ReportAsync("day", Friday);
        Assert.Equal(["day 2031-05-10", "day 2031-05-11", "day 2031-05-12"], Due(74));
        // One of them is there already, made by hand of the same data.
        await ReportAsync("day", Friday.AddDays(2), "kim");
        Assert.Equal(["day 2031-05-10", "day 2031-05-12"], Due(74));
        // Of longer than two weeks, the last two weeks.
        Assert.Equal(14, Due(24 * 19 + 2).Length);
    }

    [Fact]
    public async Task A_report_that_a_person_made_of_a_day_that_was_not_over_is_not_the_days_report()
    {
        await OrbitsAsync(Friday, 1);
        await ReportAsync("day", Friday, "kim");
        // The rest of the day comes.
        await OrbitsAsync(Friday, 1);
        Assert.Equal(["day 2031-05-09"], Due(2));
    }

    [Fact]
    public async Task A_failure_is_tried_again_later_each_time_and_left_to_people_after_three_until_the_data_are_others()
    {
        await OrbitsAsync(Friday, 1);
        await ReportAsync("day", Friday, failure: "no browser");
        Assert.Empty(Due(2));
        clock.Advance(TimeSpan.FromSeconds(601));
        Assert.Single(Due(2));
        await ReportAsync("day", Friday, failure: "no browser");
        clock.Advance(TimeSpan.FromSeconds(601));
        Assert.Empty(Due(2));
        clock.Advance(TimeSpan.FromSeconds(1800));
        Assert.Single(Due(2));
        await ReportAsync("day", Friday, failure: "no browser");
        clock.Advance(TimeSpan.FromDays(3));
        Assert.Empty(Due(2));
        // All three stand in the archive, each with its reason.
        Assert.Equal(["no browser", "no browser", "no browser"], stores.Reports.Newest(10).Select(r => r.Failure));
        // The next day is made nevertheless, and the failed one when it has other data.
        await OrbitsAsync(Friday.AddDays(1), 1);
        Assert.Equal(["day 2031-05-10"], Due(26));
        await OrbitsAsync(Friday, 1);
        Assert.Equal(["day 2031-05-09", "day 2031-05-10"], Due(26));
    }

    [Fact]
    public async Task A_week_is_made_when_its_Sunday_is_over()
    {
        await OrbitsAsync(new(2031, 5, 5), 8);
        Assert.Empty(Due(48, daily: false, weekly: true));
        Assert.Equal(["week 2031-05-05"], Due(50, daily: false, weekly: true));
        await ReportAsync("week", new(2031, 5, 5));
        Assert.Empty(Due(50, daily: false, weekly: true));
    }
}
