using Phasekeeper.Core.Comparison;

namespace Phasekeeper.Storage.Tests.Comparison;

public sealed class ComparisonStoreTests
{
    [Fact]
    public async Task A_set_that_was_forgotten_while_its_pairs_were_made_gets_none_and_keeps_no_other_out()
    {
        using var temp = new TempStores();
        var (kept, forgotten) = (0L, 0L);
        await temp.Write(t =>
        {
            kept = AuxiliaryStore.Add(t, AuxiliaryKind.Winds, "csv", "a.csv", "api", [1], TempStores.Now).Id;
            forgotten = AuxiliaryStore.Add(t, AuxiliaryKind.Winds, "csv", "b.csv", "api", [2], TempStores.Now).Id;
            AuxiliaryStore.DeleteWinds(t, forgotten);
        });
        await temp.Write(t => ComparisonStore.ReplaceOrbit(t, 7, TempStores.Now, [(kept, [Pair]), (forgotten, [Pair, Pair])]));
        Assert.Equal([(kept, (1L, 1L))], temp.Stores.Comparisons.Counts().Select(c => (c.Key, c.Value)));
    }

    private static ComparisonPair Pair => new()
    {
        Compared = ComparedWind.Eastward,
        View = "",
        Line = "green",
        Time = TempStores.Now,
        LatitudeDeg = 1,
        LongitudeDeg = 2,
        AltitudeKm = 100,
        LocalSolarTimeH = 3,
        OwnMs = 4,
        OwnSigmaMs = 5,
        OtherMs = 6,
        OtherSigmaMs = 7,
        DistanceKm = 8,
        Minutes = 9,
        AltitudeGapKm = 1,
        Sampling = ColumnSampling.Interpolated,
        Orbit = 7,
    };
}
