using Dapper;
using Microsoft.Data.Sqlite;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage.Tests.Activities;

public class ActivityStoreTests
{
    private static readonly Instant Now = Instant.FromUtc(2031, 3, 10);

    private static ActivityVersionRow Version(string activity, string title, string status = ActivityVersionRow.Planned) => new()
    {
        Activity = activity,
        Kind = "manoeuvre",
        Title = title,
        From = Now,
        To = Now.AddSeconds(3600),
        Note = "two burns",
        Expects = "attitude,gap",
        Status = status,
        Sequence = 3,
        Actor = "kim",
        Role = Roles.Operator,
        Time = Now.AddSeconds(-60),
        Reason = "moved",
    };

    [Fact]
    public async Task Every_version_is_kept_in_order_and_marked_to_be_taken_up()
    {
        using var temp = new TempStores();
        await temp.Write(t =>
        {
            ActivityStore.Add(t, Version("a", "Burn"));
            ActivityStore.Add(t, Version("b", "Turn"));
            ActivityStore.Add(t, Version("a", "Burn 2", ActivityVersionRow.Cancelled));
        });
        Assert.Equal(["Burn", "Turn", "Burn 2"], temp.Stores.Activities.Versions().Select(v => v.Title));
        var history = temp.Stores.Activities.History("a");
        Assert.Equal([ActivityVersionRow.Planned, ActivityVersionRow.Cancelled], history.Select(v => v.Status));
        Assert.Equal(Version("a", "Burn") with { Id = history[0].Id }, history[0]);
        Assert.Equal(history.Select(v => v.Id), temp.Stores.Work.Peek(ActivityStore.TakeUp, 10).Select(w => w.Key).Order().Where(k => k != history[0].Id + 1));
    }

    [Theory]
    [InlineData("UPDATE activityVersion SET title = 'x'", "never changed")]
    [InlineData("DELETE FROM activityVersion", "never deleted")]
    public async Task A_version_is_never_changed_or_deleted(string sql, string message)
    {
        using var temp = new TempStores();
        await temp.Write(t => ActivityStore.Add(t, Version("a", "Burn")));
        var error = await Assert.ThrowsAsync<SqliteException>(() => temp.Write(t => t.Connection!.Execute(sql, transaction: t)));
        Assert.Contains(message, error.Message, StringComparison.Ordinal);
    }
}
