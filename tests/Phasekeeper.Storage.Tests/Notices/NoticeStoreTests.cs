using Dapper;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Notices;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage.Tests.Notices;

/// <summary>What is to be told, and the queue: nothing twice, whatever is asked again.</summary>
public sealed class NoticeStoreTests
{
    private static readonly NoticeSubscription Wish = new()
    {
        Id = "s",
        Person = "kim",
        Channel = NoticeChannel.Webhook,
        Target = "https://hooks.mission.example/",
        LeastSeverity = FlagSeverity.Critical,
        Kinds = NoticeKinds.Raised | NoticeKinds.Mention,
        Quiet = new(1320, 390),
        OffsetMinutes = 330,
        Digest = new(6, 2),
        CriticalAtOnce = true,
    };

    private static NoticeItem Item(int step, string subscription = "s") => new(subscription, new($"step.{step}", NoticeKinds.Raised, "a", FlagSeverity.Warning, TempStores.Now, "rules", "why"), TempStores.Now.AddSeconds(30));

    private static NoticeMessageRow Message(string id) => new() { Id = id, Subscription = "s", Person = "kim", Subject = "x", Created = TempStores.Now, Since = TempStores.Now, NextAttempt = TempStores.Now, Changed = TempStores.Now };

    [Fact]
    public async Task A_subscription_is_kept_as_it_was_asked_for()
    {
        using var temp = new TempStores();
        await temp.Write(t => NoticeStore.Add(t, new(Wish, "encrypted", TempStores.Now)));
        Assert.Equal(new NoticeSubscriptionRow(Wish, "encrypted", TempStores.Now), Assert.Single(temp.Stores.Notices.Subscriptions()));
        Assert.Single(temp.Stores.Notices.SubscriptionsOf("kim"));
        await temp.Write(t => NoticeStore.End(t, "s", TempStores.Now));
        Assert.Empty(temp.Stores.Notices.Subscriptions());
        // The key is gone with it.
        Assert.Null(temp.Stores.Notices.Subscription("s")!.Key);
    }

    [Fact]
    public async Task Items_that_come_again_stay_as_they_are_and_the_cursor_never_goes_back()
    {
        using var temp = new TempStores();
        await temp.Write(t => NoticeStore.Add(t, new(Wish, null, TempStores.Now)));
        await temp.Write(t => NoticeStore.AddItems(t, [Item(1), Item(2)], 2));
        var round = new NoticeRound([], [], []);
        await temp.Write(t => NoticeStore.Write(t, [(Message("m"), [Item(1)])], round));
        await temp.Write(t => NoticeStore.AddItems(t, [Item(1), Item(2), Item(3)], 1));
        Assert.Equal(2, temp.Stores.Notices.Cursor().Step);
        Assert.Empty(temp.Stores.Notices.DueBy(TempStores.Now));
        Assert.Equal(["step.2", "step.3"], temp.Stores.Notices.DueBy(TempStores.Now.AddSeconds(30)).Select(i => i.Event.Key).Order());
        Assert.Equal(["step.4"], temp.Stores.Notices.NotYet([Item(3), Item(4)]).Select(i => i.Event.Key));
        await temp.Write(t => NoticeStore.Write(t, [], new([], [Item(2) with { Due = TempStores.Now.AddSeconds(900) }], [Item(3)])));
        Assert.Equal("step.2", Assert.Single(temp.Stores.Notices.DueBy(TempStores.Now.AddSeconds(900))).Event.Key);
        Assert.Equal(1, temp.Stores.Notices.WaitingItems);
    }

    [Fact]
    public async Task Nothing_is_left_of_a_round_whose_transaction_fails()
    {
        using var temp = new TempStores();
        await temp.Write(t => NoticeStore.Add(t, new(Wish, null, TempStores.Now)));
        await temp.Write(t => NoticeStore.AddItems(t, [Item(1)], 1));
        await Assert.ThrowsAsync<InvalidOperationException>(() => temp.Write(t =>
        {
            NoticeStore.Write(t, [(Message("m"), [Item(1)])], new([], [], []));
            throw new InvalidOperationException("killed");
        }));
        Assert.Empty(temp.Stores.NoticeQueue.List(null, 10));
        Assert.Single(temp.Stores.Notices.DueBy(TempStores.Now.AddSeconds(30)));
    }

    [Fact]
    public async Task A_message_goes_through_its_states_and_no_others()
    {
        using var temp = new TempStores();
        await temp.Write(t => NoticeStore.Add(t, new(Wish, null, TempStores.Now)));
        await temp.Write(t => { NoticeQueue.Add(t, Message("m")); NoticeQueue.Add(t, Message("m")); });
        var later = TempStores.Now.AddSeconds(60);
        Assert.True(await temp.Stores.Database.WriteAsync(t => NoticeQueue.Begin(t, "m", later)));
        Assert.False(await temp.Stores.Database.WriteAsync(t => NoticeQueue.Begin(t, "m", later)));
        await temp.Write(t => NoticeQueue.Failed(t, "m", "no answer", later.AddSeconds(30), later));
        Assert.Empty(temp.Stores.NoticeQueue.DueBy(later, 10));
        Assert.Equal((NoticeStates.Waiting, 1, "no answer"), (temp.Stores.NoticeQueue.Get("m")!.State, temp.Stores.NoticeQueue.Get("m")!.Attempts, temp.Stores.NoticeQueue.Get("m")!.LastError));
        await temp.Write(t => NoticeQueue.Begin(t, "m", later));
        Assert.Equal(1, await temp.Stores.Database.WriteAsync(t => NoticeQueue.Resume(t, later)));
        await temp.Write(t => { NoticeQueue.Begin(t, "m", later); NoticeQueue.Sent(t, "m", later); });
        Assert.False(await temp.Stores.Database.WriteAsync(t => NoticeQueue.Drop(t, "m", later)));
        Assert.False(await temp.Stores.Database.WriteAsync(t => NoticeQueue.Retry(t, "m", later)));
        Assert.Equal(new Dictionary<string, long> { [NoticeStates.Sent] = 1 }, temp.Stores.NoticeQueue.Counts());
    }

    [Fact]
    public void What_is_due_is_one_search()
    {
        using var temp = new TempStores();
        var plan = temp.Stores.Database.Read(c => c.Query<(int Id, int Parent, int Unused, string Detail)>("EXPLAIN QUERY PLAN " + NoticeStore.DueSql, new { now = Instant.MaxValue }).Select(r => r.Detail).ToList());
        Assert.Contains("USING INDEX noticeItemPending", Assert.Single(plan), StringComparison.Ordinal);
    }
}
