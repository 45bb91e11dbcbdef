using System.Text;
using Phasekeeper.Core.Comparison;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Core.ZeroWind;
using Phasekeeper.Demo.Scenario;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Pipeline.Tests.Engine;
using Phasekeeper.Pipeline.Tests.ZeroWind;
using Phasekeeper.Pipeline.ZeroWind;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Tests.Winds;

/// <summary>What becomes of an orbit's winds: condensed for the zero wind of the days after, and laid beside winds that others measured.</summary>
public class WindUseTests
{
    private const double OrbitS = 5760;
    private static readonly ScenarioGenerator Generator = new(DemoScenario.Default, events: []);
    private static readonly Instant Start = DemoScenario.Default.Start.AddSeconds(2 * 86400);
    private static readonly byte[] Packets = Generator.PacketsFor(Start, Start.AddSeconds(0.9 * OrbitS));

    // The winds of a dense invented network around the globe, exact: every wind of ours finds one near.
    private static byte[] Everywhere(double offset)
    {
        var winds = from hour in Enumerable.Range(0, 3)
                    from latitude in Enumerable.Range(-4, 11)
                    from longitude in Enumerable.Range(-12, 24)
                    from km in Enumerable.Range(0, 12)
                    select new IndependentWind(Start.AddSeconds(3600 * hour), 7 * latitude, 15 * longitude, 85 + 3 * km, 40 + offset, -10, 2, 2, "grid");
        return Encoding.UTF8.GetBytes(IndependentWindFile.Write(winds, "An invented grid."));
    }

    [Fact]
    public async Task Winds_and_a_set_meet_whichever_comes_first_and_the_set_can_go_again()
    {
        using var before = await TestMission.StartAsync(Generator);
        await before.TakeAsync(Everywhere(0), "api:grid.csv");
        await before.TakeAsync(Packets);
        await before.DrainAsync();
        using var after = await TestMission.StartAsync(Generator);
        await after.TakeAsync(Packets);
        await after.DrainAsync();
        Assert.Empty(after.Stores.Comparisons.Counts());
        await after.TakeAsync(Everywhere(0), "upload:same under another name.csv");
        await after.TakeAsync(Everywhere(0), "inbox:again.csv");
        await after.DrainAsync();

        var set = Assert.Single(after.Stores.Auxiliary.List(AuxiliaryKind.Winds));
        Assert.Equal("read", set.State);
        Assert.Equal((Start, Start.AddSeconds(7200)), (set.CoverFrom, set.CoverTo));
        var pairs = after.Stores.Comparisons.Read(set.Id, Instant.MinValue, Instant.MaxValue, int.MaxValue).Pairs;
        Assert.True(pairs.Count > 100, $"{pairs.Count} pairs");
        Assert.Equal(pairs, before.Stores.Comparisons.Read(before.Stores.Auxiliary.List(AuxiliaryKind.Winds)[0].Id, Instant.MinValue, Instant.MaxValue, int.MaxValue).Pairs);
        Assert.Equal(3, pairs.Select(p => p.Compared).Distinct().Count());
        Assert.All(pairs.Where(p => p.Compared == ComparedWind.Eastward), p => Assert.Equal(40, p.OtherMs, 1e-3));
        Assert.All(pairs, p => Assert.True(p.DistanceKm <= 1000 && Math.Abs(p.Minutes) <= 90 && p.AltitudeGapKm <= 10));
        Assert.Contains(pairs, p => p.Sampling == ColumnSampling.Kernel);

        await after.Stores.Database.WriteAsync(t =>
        {
            ComparisonStore.DeleteSet(t, set.Id);
            AuxiliaryStore.DeleteWinds(t, set.Id);
        });
        Assert.Empty(after.Stores.Comparisons.Counts());
        Assert.Empty(after.Stores.Auxiliary.List(AuxiliaryKind.Winds));
        var orbitFile = after.Stores.Auxiliary.List(AuxiliaryKind.Orbit)[0].Id;
        await Assert.ThrowsAsync<KeyNotFoundException>(() => after.Stores.Database.WriteAsync(t => AuxiliaryStore.DeleteWinds(t, orbitFile)));
    }

    [Fact]
    public async Task A_set_with_mistakes_is_refused_with_all_of_them_and_changes_nothing()
    {
        using var mission = await TestMission.StartAsync(Generator);
        await mission.TakeAsync(Encoding.UTF8.GetBytes("time,latitudeDeg\nyesterday,1\n"), "upload:mine.csv");
        await mission.DrainAsync();
        var set = Assert.Single(mission.Stores.Auxiliary.List(AuxiliaryKind.Winds));
        Assert.Equal("refused", set.State);
        Assert.Contains("mine.csv, line 1: found no column longitudeDeg", set.Reason, StringComparison.Ordinal);
        Assert.Contains("found no column northwardSigmaMs", set.Reason, StringComparison.Ordinal);
        Assert.True(mission.Stores.Work.IsEmpty);
    }

    [Fact]
    public async Task Weeks_of_condensed_winds_give_the_days_zero_wind_on_its_first_orbit()
    {
        using var mission = await TestMission.StartAsync(Generator);
        var zero = WindSums.ZeroPhases(mission.Engine.Mission!.Coefficients.At(Start)!.Set);
        var simulated = new SimulatedWinds(66, 600, 95, 105, 116).Sums(3, 66, 12, -7);
        // As if the mission had flown the 66 days before; numbers that no orbit of it has.
        await mission.Stores.Database.WriteAsync(t =>
        {
            foreach (var s in simulated) WindSumStore.Replace(t, -1 - s.Orbit, s with { Orbit = -1 - s.Orbit, Start = s.Start.AddSeconds(-65.0 * 86400) }, zero);
        });
        await mission.TakeAsync(Generator.PacketsFor(Start.AddSeconds(7000), Start.AddSeconds(7000 + 0.7 * OrbitS)));
        await mission.DrainAsync();

        var day = Start.ToUnixDay().UnixDay;
        Assert.Equal(day, mission.Stores.ZeroWinds.NewestDay);
        var estimates = mission.Stores.ZeroWinds.Read(day, day).Select(e => e.Estimate).ToDictionary(e => e.Line);
        var green = estimates["green"];
        Assert.Equal(ZeroWindStatus.Claimed, green.Status);
        Assert.Equal(12, green.Offsets[0].OffsetMs, 4 * green.Offsets[0].SigmaMs);
        Assert.Equal(-7, green.Offsets[1].OffsetMs, 4 * green.Offsets[1].SigmaMs);
        Assert.Equal(ZeroWindStatus.CannotTellYet, estimates["red"].Status);
        // What is stored is what was computed.
        var again = ZeroWindSolver.Solve(mission.Stores.WindSums.Read(Instant.FromUnixDay(day - 130, 0), Instant.FromUnixDay(day, 0), zero), ["F", "A"], "green");
        Assert.Equal(again.Offsets, green.Offsets);
        Assert.Equal(again.CovarianceM2S2, green.CovarianceM2S2);
        Assert.Equal(again.Columns, green.Columns);
        Assert.Equal((again.From, again.To, again.Days, again.BinsUsed, again.Information, again.LocalTimeRateHPerDay), (green.From, green.To, green.Days, green.BinsUsed, green.Information, green.LocalTimeRateHPerDay));

        var first = ZeroWindStage.FirstOrbitOf(day, mission.Engine.Mission!, mission.Stores);
        var values = mission.Stores.Trackers.List("zero-wind", Instant.MinValue, Instant.MaxValue, 100).Items;
        Assert.Equal([("A", "green"), ("F", "green")], values.Select(v => (v.Key.View!, v.Key.Line!)).Order());
        Assert.All(values, v => Assert.Equal(first, v.Orbit));
        Assert.Equal(green.Offsets[0].OffsetMs, values.Single(v => v.Key.View == "F").Value);

        // This mission's own winds are condensed for tomorrow, and running again changes nothing.
        Assert.NotEmpty(mission.Stores.WindSums.Read(Start, Start.AddSeconds(86400), zero));
        var marked = mission.Stores.Orbits.Touching(Instant.MinValue, Instant.MaxValue).Select(o => (long)o.Orbit).ToArray();
        await mission.Stores.Work.MarkAsync(WorkKinds.WindUse, marked, Start);
        await mission.DrainAsync();
        Assert.Equal(values, mission.Stores.Trackers.List("zero-wind", Instant.MinValue, Instant.MaxValue, 100).Items);
    }
}
