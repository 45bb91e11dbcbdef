using Microsoft.Extensions.Time.Testing;
using Phasekeeper.Pipeline.Changes;

namespace Phasekeeper.Pipeline.Tests.Changes;

public sealed class ChangeFeedTests
{
    private readonly FakeTimeProvider time = new();

    [Fact]
    public async Task Changes_gather_while_nobody_looks_each_once()
    {
        var feed = new ChangeFeed(time);
        await using var reader = feed.SubscribeAsync(TimeSpan.FromSeconds(1)).GetAsyncEnumerator();
        var first = reader.MoveNextAsync();
        feed.Publish(ChangeKind.Orbit, 7);
        Assert.True(await first);
        Assert.Equal([new Change(ChangeKind.Orbit, 7)], reader.Current);
        var second = reader.MoveNextAsync();
        for (var i = 0; i < 3; i++) feed.Publish(ChangeKind.Orbit, 8);
        feed.Publish(ChangeKind.Ingest);
        // Not before the interval has passed.
        Assert.False(second.IsCompleted);
        time.Advance(TimeSpan.FromSeconds(1));
        Assert.True(await second);
        Assert.Equal([new Change(ChangeKind.Ingest, null), new Change(ChangeKind.Orbit, 8)], reader.Current.OrderBy(c => c.Kind, StringComparer.Ordinal));
    }

    [Fact]
    public async Task What_came_between_the_first_look_and_the_subscription_is_told()
    {
        var feed = new ChangeFeed(time);
        feed.Publish(ChangeKind.Orbit, 7);
        var seen = feed.Published;
        await using (var quiet = feed.SubscribeAsync(TimeSpan.Zero, seen).GetAsyncEnumerator())
        {
            var next = quiet.MoveNextAsync();
            Assert.False(next.IsCompleted);
            feed.Publish(ChangeKind.Flag);
            Assert.True(await next);
            Assert.Equal([new Change(ChangeKind.Flag, null)], quiet.Current);
        }
        await using var late = feed.SubscribeAsync(TimeSpan.Zero, seen).GetAsyncEnumerator();
        Assert.True(await late.MoveNextAsync());
        Assert.Equal([new Change(ChangeKind.Missed, null)], late.Current);
    }

    [Fact]
    public async Task Very_many_keys_of_a_kind_become_the_kind_alone()
    {
        var feed = new ChangeFeed(time);
        await using var reader = feed.SubscribeAsync(TimeSpan.Zero).GetAsyncEnumerator();
        var next = reader.MoveNextAsync();
        feed.Publish(ChangeKind.Flag, 1);
        Assert.True(await next);
        for (var i = 0; i < 2000; i++) feed.Publish(ChangeKind.Hour, i);
        feed.Publish(ChangeKind.Flag, 2);
        Assert.True(await reader.MoveNextAsync());
        Assert.Equal([new Change(ChangeKind.Flag, 2), new Change(ChangeKind.Hour, null)], reader.Current.OrderBy(c => c.Kind, StringComparer.Ordinal));
    }

    [Fact]
    public async Task A_subscriber_that_leaves_is_forgotten()
    {
        var feed = new ChangeFeed(time);
        using var leave = new CancellationTokenSource();
        var reader = feed.SubscribeAsync(TimeSpan.Zero, leave.Token).GetAsyncEnumerator();
        var next = reader.MoveNextAsync();
        Assert.Equal(1, feed.Subscribers);
        await leave.CancelAsync();
        await Assert.ThrowsAnyAsync<OperationCanceledException>(async () => await next);
        await reader.DisposeAsync();
        Assert.Equal(0, feed.Subscribers);
    }
}
