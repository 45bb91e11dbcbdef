using System.Text.Json;
using System.Text.Json.Serialization;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Winds;

namespace Phasekeeper.Storage.Tests.Winds;

public sealed class WindVectorStoreTests
{
    private static readonly Instant Start = Instant.FromUtc(2031, 3, 1, 12, 0, 0);
    private static readonly JsonSerializerOptions Json = new() { NumberHandling = JsonNumberHandling.AllowNamedFloatingPointLiterals };

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public async Task Vectors_come_back_bit_for_bit_whether_rounded_or_not(bool rounded)
    {
        using var temp = new TempStores();
        var vectors = Vectors(1, 8, 7).Select(v => rounded ? v with { Vectors = [.. v.Vectors.Select(x => x.Rounded())] } : v).ToList();
        await temp.Write(t => WindVectorStore.ReplaceOrbit(t, 7, vectors));
        Assert.Equal(vectors.Select(Text), temp.Stores.WindVectors.OfOrbit(7).Select(v => Text(v with { Id = 0 })));
        Assert.Equal(4, temp.Stores.WindVectors.OfOrbit(7, "red").Count);
        Assert.Equal(Text(vectors[3]), Text(Assert.Single(temp.Stores.WindVectors.Exposure(vectors[3].Exposure, Start)) with { Id = 0 }));
    }

    [Theory]
    [InlineData(1)]
    [InlineData(5)]
    [InlineData(1000)]
    public async Task Pages_put_together_are_all_vectors_of_the_stretch(int limit)
    {
        using var temp = new TempStores();
        var vectors = Vectors(2, 12, 7);
        await temp.Write(t => WindVectorStore.ReplaceOrbit(t, 7, vectors));
        var (from, to) = (Start.AddSeconds(-60), Start.AddSeconds(200));
        var found = new List<StoredWindVector>();
        string? next = null;
        do
        {
            var page = temp.Stores.WindVectors.ListRows(from, to, limit, next, "green");
            Assert.True(page.Items.Count <= limit);
            found.AddRange(page.Items);
            next = page.Next;
        }
        while (next is not null);
        var expected = vectors.Where(v => v.Line == "green").SelectMany(v => v.Vectors).Where(v => v.Time >= from && v.Time < to).ToList();
        Assert.InRange(expected.Count, 3, vectors.Where(v => v.Line == "green").Sum(v => v.Vectors.Count) - 3);
        Assert.Equal(expected.Select(v => (v.SecondExposure, v.Row)), found.Select(f => (f.Vector.SecondExposure, f.Vector.Row)));
        Assert.Equal(expected.Count, temp.Stores.WindVectors.Read(from, to, "green").Sum(v => v.Vectors.Count));
    }

    [Theory]
    [InlineData(2)]
    [InlineData(7)]
    public async Task Pages_go_on_where_they_were_while_orbits_are_computed_again_and_rows_move_between_them(int limit)
    {
        using var temp = new TempStores();
        // Rows of every exposure lie in two orbits: of odd row in orbit 8; in the other division, of even row.
        var all = Vectors(5, 12, 7);
        StoredWindVectors[] Part(int orbit, int odd) =>
            [.. all.Select(v => v with { Orbit = orbit, Vectors = [.. v.Vectors.Where(x => x.Row % 2 == odd)] }).Where(v => v.Vectors.Count > 0)];
        async Task Store(int odd)
        {
            await temp.Write(t => WindVectorStore.ReplaceOrbit(t, 8, Part(8, odd)));
            await temp.Write(t => WindVectorStore.ReplaceOrbit(t, 7, Part(7, 1 - odd)));
        }
        var odd = 1;
        await Store(odd);
        var rows = await WindStoreTests.PagesWhile(next => temp.Stores.WindVectors.ListRows(Start.AddSeconds(-60), Start.AddSeconds(7200), limit, next), () => Store(odd = 1 - odd));
        Assert.Equal(all.SelectMany(v => v.Vectors).Select(v => (v.SecondExposure, v.Row)), rows.Select(r => (r.Vector.SecondExposure, r.Vector.Row)));
    }

    [Theory]
    [InlineData(1, 7, 8)]
    [InlineData(5, 8, 7)]
    [InlineData(1000, 8, 7)]
    public async Task Of_two_copies_of_a_vector_that_of_the_earlier_orbit_is_given(int limit, int storedFirst, int storedLast)
    {
        using var temp = new TempStores();
        var all = Vectors(7, 12, 7);
        foreach (var orbit in new[] { storedFirst, storedLast })
            await temp.Write(t => WindVectorStore.ReplaceOrbit(t, orbit, all.Select(v => v with { Orbit = orbit, Vectors = [.. v.Vectors.Select(x => x with { EastwardMs = orbit })] })));
        var rows = await WindStoreTests.PagesWhile(next => temp.Stores.WindVectors.ListRows(Start.AddSeconds(-60), Start.AddSeconds(7200), limit, next), () => Task.CompletedTask);
        Assert.Equal(all.SelectMany(v => v.Vectors).Select(v => (v.SecondExposure, v.Row, 7.0)), rows.Select(r => (r.Vector.SecondExposure, r.Vector.Row, r.Vector.EastwardMs)));
    }

    [Fact]
    public async Task Vectors_that_gain_an_earlier_one_stay_in_their_place_of_the_list()
    {
        using var temp = new TempStores();
        var vectors = Vectors(6, 8, 7);
        await temp.Write(t => WindVectorStore.ReplaceOrbit(t, 7, vectors));
        var first = temp.Stores.WindVectors.ListRows(Start.AddSeconds(-600), Start.AddSeconds(7200), 9);
        // The last exposure now has its first vector before all that has been given.
        var earlier = vectors[^1] with { Vectors = [vectors[^1].Vectors[0] with { Time = Start.AddSeconds(-120) }, .. vectors[^1].Vectors.Skip(1)] };
        await temp.Write(t => WindVectorStore.ReplaceOrbit(t, 7, [.. vectors.SkipLast(1), earlier]));
        var rest = temp.Stores.WindVectors.ListRows(Start.AddSeconds(-600), Start.AddSeconds(7200), 1000, first.Next).Items;
        Assert.Equal(vectors.SelectMany(v => v.Vectors).Select(v => (v.SecondExposure, v.Row)), first.Items.Concat(rest).Select(r => (r.Vector.SecondExposure, r.Vector.Row)));
    }

    [Fact]
    public void Pages_are_found_by_index() => QueryPlan.IsOneSearch(WindVectorStore.PageSql, "windVectorPlace ((exposureTime,exposure,line)>(");

    [Fact]
    public async Task Replacing_an_orbit_leaves_the_others()
    {
        using var temp = new TempStores();
        await temp.Write(t => WindVectorStore.ReplaceOrbit(t, 7, Vectors(3, 4, 7)));
        await temp.Write(t => WindVectorStore.ReplaceOrbit(t, 8, Vectors(3, 4, 8)));
        await temp.Write(t => WindVectorStore.ReplaceOrbit(t, 7, []));
        Assert.Equal([8], temp.Stores.WindVectors.OrbitsWithVectors(0, 100));
        Assert.Equal(4, temp.Stores.WindVectors.OfOrbit(8).Count);
    }

    [Fact]
    public async Task Bins_follow_their_orbits_vectors()
    {
        using var temp = new TempStores();
        var vectors = Vectors(4, 40, 7).Select(v => v with { Vectors = [.. v.Vectors.Select(x => x with { LatitudeRad = 0.2, LongitudeRad = 1, AltitudeKm = 100 + x.Row, EastwardMs = x.Row, NorthwardMs = -2 })] }).ToList();
        await temp.Write(t => WindVectorStore.ReplaceOrbit(t, 7, vectors));
        var read = Assert.Single(temp.Stores.WindBins.Read(0, 100, "green"));
        Assert.Equal(Core.WindMeans.OrbitWindBins.Of(7, "green", vectors.Where(v => v.Line == "green").SelectMany(v => v.Vectors)).Bins, read.Bins);
        Assert.Equal(vectors.Where(v => v.Line == "green").SelectMany(v => v.Vectors).Count(v => v.Quality != WindQuality.Bad), read.Bins.Sum(b => b.Count));
        await temp.Write(t => WindVectorStore.ReplaceOrbit(t, 7, []));
        Assert.Empty(temp.Stores.WindBins.Read(0, 100, "green"));
    }

    private static string Text<T>(T value) => JsonSerializer.Serialize(value, Json);

    private static List<StoredWindVectors> Vectors(int seed, int exposures, int orbit)
    {
        var random = new Random(seed);
        double Some() => random.Next(9) == 0 ? double.NaN : 200 * (random.NextDouble() - 0.5);
        return [.. Enumerable.Range(0, exposures).Select(e => new StoredWindVectors
        {
            Orbit = orbit, Line = e % 2 == 0 ? "green" : "red", Exposure = 100 + e, ExposureTime = Start.AddSeconds(60 * e + 300), CoefficientSet = 1, InputHash = [(byte)e], SoftwareVersion = "0.1.0",
            Vectors = [.. Enumerable.Range(0, 1 + e % 4).Select(r => new WindVector
            {
                Time = Start.AddSeconds(60 * e + 30.5 * r), Line = e % 2 == 0 ? "green" : "red", FirstExposure = 95 + e, SecondExposure = 100 + e, Row = 3 + r, LatitudeRad = Some(), LongitudeRad = Some(),
                AltitudeKm = Some(), SecondsBetweenLooks = Some(), SeparationKm = Some(), EastwardMs = Some(), NorthwardMs = Some(), EastwardSigmaMs = Some(), NorthwardSigmaMs = Some(),
                CovarianceM2S2 = Some(), Quality = (WindQuality)(r % 3), Reasons = r % 3 == 0 ? WindReasonCatalog.Reasons(1ul << 21, 0, 0) : WindReasonCatalog.Reasons(0, 0b1000000100ul, r % 3 == 2 ? 0b1010ul : 0),
            })],
        })];
    }
}
