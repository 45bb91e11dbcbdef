using Dapper;
using Microsoft.Data.Sqlite;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage.Tests.SharedViews;

public sealed class SharedViewStoreTests
{
    private static readonly Instant Now = Instant.FromUtc(2031, 5, 9, 10);

    private static SharedViewRow View(string name) => new() { Name = name, Address = "/drift?range=7d", Actor = "kim", Time = Now, ChangedBy = "kim", Changed = Now };

    [Fact]
    public async Task A_name_stands_once_whatever_its_capitals_and_is_free_again_after_its_view_is_retired()
    {
        using var temp = new TempStores();
        var first = await temp.Stores.Database.WriteAsync(t => SharedViewStore.Add(t, View("Lamp week")));
        Assert.NotNull(first);
        Assert.Null(await temp.Stores.Database.WriteAsync(t => SharedViewStore.Add(t, View("lamp WEEK"))));
        var other = await temp.Stores.Database.WriteAsync(t => SharedViewStore.Add(t, View("Another")));
        Assert.False(await temp.Stores.Database.WriteAsync(t => SharedViewStore.Change(t, SharedViewStore.Get(t, other!.Value)! with { Name = "LAMP week" })));
        Assert.True(await temp.Stores.Database.WriteAsync(t => SharedViewStore.Change(t, SharedViewStore.Get(t, first!.Value)! with { Retired = Now, Revision = 1 })));
        Assert.NotNull(await temp.Stores.Database.WriteAsync(t => SharedViewStore.Add(t, View("lamp WEEK"))));
        Assert.Equal(["Another", "lamp WEEK"], temp.Stores.SharedViews.List().Select(v => v.Name));
        await Assert.ThrowsAsync<SqliteException>(() => temp.Stores.Database.WriteAsync(t => t.Connection!.Execute("DELETE FROM sharedView", transaction: t)));
    }
}
