using Dapper;
using Microsoft.Data.Sqlite;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage.Tests.Annotations;

public sealed class AnnotationStoreTests
{
    private static readonly Instant Start = Instant.FromUtc(2031, 5, 9, 10);

    private static Task<long> Add(Stores stores, double fromS, double toS, string text = "note") => stores.Database.WriteAsync(t =>
        AnnotationStore.Add(t, new() { From = Start.AddSeconds(fromS), To = Start.AddSeconds(toS), Text = text, Actor = "kim", Time = Start }));

    private static string[] Touching(Stores stores, double fromS, double toS, int limit = 10) =>
        [.. stores.Annotations.Touching(Start.AddSeconds(fromS), Start.AddSeconds(toS), limit).Select(n => n.Text)];

    [Fact]
    public async Task Notes_are_found_by_what_they_touch_until_they_are_retired()
    {
        using var temp = new TempStores();
        await Add(temp.Stores, 0, 100, "long");
        var instant = await Add(temp.Stores, 50, 50, "instant");
        await Add(temp.Stores, 200, 300, "later");
        Assert.Equal(["long", "instant"], Touching(temp.Stores, 40, 60));
        Assert.Equal(["long"], Touching(temp.Stores, 100, 150));
        Assert.Equal(["later"], Touching(temp.Stores, 150, 200));
        Assert.Empty(Touching(temp.Stores, 101, 199));
        Assert.Equal(["long"], Touching(temp.Stores, 0, 300, 1));
        Assert.True(await temp.Stores.Database.WriteAsync(t => AnnotationStore.Retire(t, instant, "ada", Start)));
        Assert.False(await temp.Stores.Database.WriteAsync(t => AnnotationStore.Retire(t, instant, "ada", Start)));
        Assert.Equal(["long"], Touching(temp.Stores, 40, 60));
        Assert.Equal("ada", temp.Stores.Annotations.Newest(10).Single(n => n.Id == instant).RetiredBy);
    }

    [Fact]
    public async Task The_longest_note_is_found_from_its_end()
    {
        using var temp = new TempStores();
        await Add(temp.Stores, 0, AnnotationStore.LongestS, "five weeks");
        Assert.Equal(["five weeks"], Touching(temp.Stores, AnnotationStore.LongestS, AnnotationStore.LongestS + 10));
    }

    [Fact]
    public async Task Nothing_is_deleted()
    {
        using var temp = new TempStores();
        await Add(temp.Stores, 0, 1);
        await Assert.ThrowsAsync<SqliteException>(() => temp.Stores.Database.WriteAsync(t => t.Connection!.Execute("DELETE FROM annotation", transaction: t)));
    }

    [Fact]
    public void A_plot_asks_by_one_search() => QueryPlan.IsSearches(AnnotationStore.TouchingSql, "annotationFrom (from>? AND from<?)");
}
