using System.Text.Json;
using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage.Tests.Fringes;

public sealed class FringeStoreTests
{
    private static readonly Instant Start = Instant.FromUtc(2031, 3, 1, 12, 0, 0);
    private static readonly JsonSerializerOptions Json = new() { NumberHandling = System.Text.Json.Serialization.JsonNumberHandling.AllowNamedFloatingPointLiterals };

    [Fact]
    public async Task A_result_comes_back_whole_with_what_it_was_made_from()
    {
        using var temp = new TempStores();
        var stored = Results(1, 12);
        await Replace(temp, stored);
        var back = temp.Stores.Fringes.Read(Start, Start.AddSeconds(7200));
        Assert.Equal(stored.Select(s => JsonSerializer.Serialize(s.Result, Json)), back.Select(s => JsonSerializer.Serialize(s.Result, Json)));
        Assert.All(back.Zip(stored), p =>
        {
            Assert.Equal(p.Second.InputHash, p.First.InputHash);
            Assert.Equal((p.Second.Orbit, p.Second.CoefficientSet, p.Second.EphemerisFile, p.Second.SoftwareVersion),
                (p.First.Orbit, p.First.CoefficientSet, p.First.EphemerisFile, p.First.SoftwareVersion));
        });
    }

    [Theory]
    [InlineData(1)]
    [InlineData(4)]
    [InlineData(7)]
    [InlineData(1000)]
    public async Task Pages_of_rows_put_together_are_all_rows_that_arrived(int limit)
    {
        using var temp = new TempStores();
        var stored = Results(2, 9);
        await Replace(temp, stored);
        var rows = new List<StoredFringeRow>();
        string? next = null;
        do
        {
            var page = temp.Stores.Fringes.ListRows(Start, Start.AddSeconds(7200), limit, next, ExposureKind.Scene);
            Assert.True(page.Items.Count <= limit);
            rows.AddRange(page.Items);
            next = page.Next;
        }
        while (next is not null);
        var expected = stored.Where(s => s.Result.Kind == ExposureKind.Scene)
            .SelectMany(s => Enumerable.Range(0, 4).Where(r => s.Result.Status[r] != RowStatus.Missing).Select(r => (s.Result.Exposure, s.Result.View, r)));
        Assert.Equal(expected, rows.Select(r => (r.Fringe.Result.Exposure, r.Fringe.Result.View, r.Row)));
    }

    [Theory]
    [InlineData(2)]
    [InlineData(50)]
    public async Task Pages_go_on_where_they_were_while_hours_are_computed_again(int limit)
    {
        using var temp = new TempStores();
        var stored = Results(6, 80);
        await Replace(temp, [.. stored.AsEnumerable().Reverse()]);
        var rows = await Winds.WindStoreTests.PagesWhile(next => temp.Stores.Fringes.ListRows(Start, Start.AddSeconds(7200), limit, next), () => Replace(temp, stored));
        Assert.Equal(stored.SelectMany(s => Enumerable.Range(0, 4).Where(r => s.Result.Status[r] != RowStatus.Missing).Select(r => (s.Result.Exposure, r))),
            rows.Select(r => (r.Fringe.Result.Exposure, r.Row)));
    }

    [Fact]
    public void Pages_are_found_by_index() => QueryPlan.IsOneSearch(FringeStore.PageSql, "(time,kind,exposure,view,line)>(");

    [Fact]
    public async Task Replacing_an_hour_leaves_the_others()
    {
        using var temp = new TempStores();
        await Replace(temp, Results(3, 80));
        var hours = temp.Stores.Fringes.Read(Instant.MinValue, Instant.MaxValue).Select(r => r.Hour).Distinct().ToList();
        Assert.Equal(2, hours.Count);
        await temp.Write(t => FringeStore.ReplaceHour(t, hours[0], []));
        Assert.Equal([hours[1]], temp.Stores.Fringes.Read(Instant.MinValue, Instant.MaxValue).Select(r => r.Hour).Distinct());
    }

    [Fact]
    public async Task An_exposure_number_that_came_again_is_told_apart_by_time()
    {
        using var temp = new TempStores();
        var first = Results(4, 1)[0];
        var second = first with { Result = first.Result with { Time = first.Result.Time.AddSeconds(86400) } };
        await Replace(temp, [first, second]);
        Assert.Equal(second.Result.Time, Assert.Single(temp.Stores.Fringes.Exposure(first.Result.Exposure, second.Result.Time.AddSeconds(-3600))).Result.Time);
        Assert.Equal(first.Result.Time, Assert.Single(temp.Stores.Fringes.Exposure(first.Result.Exposure, Start)).Result.Time);
    }

    [Fact]
    public async Task Orbit_numbers_are_set_by_time()
    {
        using var temp = new TempStores();
        await Replace(temp, Results(5, 10));
        await temp.Write(t => FringeStore.SetOrbit(t, 77, Start, Start.AddSeconds(61)));
        Assert.Equal(2, temp.Stores.Fringes.OfOrbit(77).Count);
    }

    private static async Task Replace(TempStores temp, List<StoredFringe> results)
    {
        foreach (var hour in results.GroupBy(r => Hour.Of(r.Result.Time))) await temp.Write(t => FringeStore.ReplaceHour(t, hour.Key, hour));
    }

    private static List<StoredFringe> Results(int seed, int count)
    {
        var random = new Random(seed);
        double[] Vector() => [random.NextDouble(), double.NaN, -random.NextDouble(), -0.0];
        int[] Counts() => [random.Next(256), 0, 3, 1];
        return [.. Enumerable.Range(0, count).Select(i => new StoredFringe
        {
            Orbit = i % 3 == 0 ? null : 5, RowsHash = [(byte)i], InputHash = [(byte)i, 2, 3], CoefficientSet = 1, EphemerisFile = i % 2 == 0 ? null : 4, SoftwareVersion = "0.1.0",
            Result = new FringeResult
            {
                Exposure = 100 + i, Kind = i % 4 == 1 ? ExposureKind.Lamp : ExposureKind.Scene, View = "F", Line = "green", Time = Start.AddSeconds(60 * i),
                IntegrationS = 8, Status = [RowStatus.Ok, RowStatus.Missing, RowStatus.NoFringe, RowStatus.Ok],
                PhaseRad = Vector(), PhaseSigmaRad = Vector(), Visibility = Vector(), VisibilitySigma = Vector(), SignalElectrons = Vector(),
                SignalSigmaElectrons = Vector(), ChiSquare = Vector(), MaskedSamples = Counts(), SpikeSamples = Counts(), SaturatedSamples = Counts(),
                VelocityRemovedMs = Vector(), ImageShiftSamples = i % 5 == 0 ? double.NaN : 0.25, ImageShiftSigmaSamples = 0.004, DetectorC = -20.5,
                FrequencyOffsetPpm = i % 4 == 1 ? 3.5 : double.NaN, FrequencyOffsetSigmaPpm = double.NaN, HotSamples = i % 2 == 0 ? [] : [5, 900, 17],
            },
        })];
    }
}
