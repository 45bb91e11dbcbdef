using Microsoft.AspNetCore.Hosting;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Options;
using Microsoft.Extensions.Time.Testing;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Notices;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Assessment;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Flags;
using Phasekeeper.Web.Features.Notices;
using Phasekeeper.Web.Hosting;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Notices;

/// <summary>The application without the loops of notices, so that rounds happen when a test asks.</summary>
public class NoLoopsHost : WebHost
{
    /// <inheritdoc/>
    protected override void ConfigureWebHost(IWebHostBuilder builder)
    {
        base.ConfigureWebHost(builder);
        builder.ConfigureServices(services =>
        {
            foreach (var loop in services.Where(s => s.ImplementationType == typeof(NoticeGatherLoop) || s.ImplementationType == typeof(NoticeDeliveryLoop)).ToArray()) services.Remove(loop);
        });
    }
}

/// <summary>From the steps of flags to messages: once each, whatever happens in between.</summary>
public sealed class NoticeGathererTests
{
    private const string Kim = "demo analyst", Lou = "demo operator";
    private static readonly Instant Start = Instant.FromUtc(2031, 3, 2, 12);
    private int orbit = 4000;

    internal static NoticeGatherer Gatherer(WebHost host, TimeProvider clock) => new(
        host.Stores, host.Services.GetRequiredService<FlagTeams>(), host.Services.GetRequiredService<FlagGroups>(), host.Services.GetRequiredService<PipelineEngine>(), host.Services.GetRequiredService<MissionFolder>(),
        host.Services.GetRequiredService<IOptions<PhasekeeperOptions>>(), clock);

    internal static FakeTimeProvider ClockAt(double afterSeconds) => new(new DateTimeOffset(Start.AddSeconds(afterSeconds).ToDateTimeUtc(), TimeSpan.Zero));

    private static async Task<string> SubscribeAsync(WebHost host, string person, NoticeKinds kinds = NoticeKinds.Raised | NoticeKinds.Mention | NoticeKinds.Escalation, DigestPlan? digest = null)
    {
        var id = Guid.NewGuid().ToString("N");
        await host.Stores.Database.WriteAsync(t => NoticeStore.Add(t, new(new() { Id = id, Person = person, Channel = NoticeChannel.Email, Target = "kim@mission.example", Kinds = kinds, Digest = digest }, null, Start.AddSeconds(-1))));
        return id;
    }

    private Task<Flag> RaiseAsync(WebHost host, double afterSeconds, int? onOrbit = null, FlagThing? about = null)
    {
        var at = Start.AddSeconds(afterSeconds);
        return SampleFlag.RaiseAsync(host, onOrbit ?? (orbit += 500), at, new FlagEvidence(at, at.AddSeconds(5760)), about);
    }

    private static Task CriticalAsync(WebHost host, Flag flag, double afterSeconds) => host.Stores.Database.WriteAsync(t =>
        FlagStore.Put(t, FlagJson.Row(flag with { Severity = FlagSeverity.Critical }, Start, Start.AddSeconds(afterSeconds)), FlagStepWords.Worsen, "rules"));

    [Fact]
    public async Task Each_flag_is_told_once_and_those_of_one_cause_together()
    {
        using var host = new NoLoopsHost();
        await host.WaitUntilIdle();
        await SubscribeAsync(host, Kim);
        var one = await RaiseAsync(host, 0);
        var with = await RaiseAsync(host, 5, orbit, new FlagThing("thermal-residual", "thermal-residual-wind", "A", "green"));
        var other = await RaiseAsync(host, 10);
        Assert.Equal(0, await Gatherer(host, ClockAt(20)).RoundAsync());
        Assert.Equal(2, await Gatherer(host, ClockAt(41)).RoundAsync());
        // Another process after a restart finds nothing more to tell.
        Assert.Equal(0, await Gatherer(host, ClockAt(100)).RoundAsync());
        var messages = host.Stores.NoticeQueue.List(null, 10);
        Assert.Equal(2, messages.Count);
        var both = Assert.Single(messages, m => m.Json.Contains(one.Id, StringComparison.Ordinal));
        Assert.Contains(with.Id, both.Json, StringComparison.Ordinal);
        Assert.DoesNotContain(other.Id, both.Json, StringComparison.Ordinal);
        Assert.Contains("Value: 7.5 m/s; limit: 5 m/s", both.Text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_round_that_is_cut_off_before_its_transaction_is_done_again_by_the_next()
    {
        using var host = new NoLoopsHost();
        await host.WaitUntilIdle();
        await SubscribeAsync(host, Kim);
        await RaiseAsync(host, 0);
        using var cut = new CancellationTokenSource();
        await cut.CancelAsync();
        await Assert.ThrowsAnyAsync<OperationCanceledException>(() => Gatherer(host, ClockAt(60)).RoundAsync(cut.Token));
        Assert.Empty(host.Stores.NoticeQueue.List(null, 10));
        Assert.Equal(1, await Gatherer(host, ClockAt(60)).RoundAsync());
        // A cursor that was set back (a restored copy) doubles nothing either.
        await host.Stores.Database.WriteAsync(t => Dapper.SqlMapper.Execute(t.Connection!, "UPDATE noticeCursor SET step = 0", null, t));
        Assert.Equal(0, await Gatherer(host, ClockAt(120)).RoundAsync());
    }

    [Fact]
    public async Task Nobody_takes_a_critical_flag_and_the_list_is_told_step_by_step_until_somebody_does()
    {
        using var host = new NoLoopsHost();
        await host.WaitUntilIdle();
        await SubscribeAsync(host, Kim, NoticeKinds.Escalation);
        await SubscribeAsync(host, Lou, NoticeKinds.Escalation);
        await host.Stores.Database.WriteAsync(t => NoticeStore.SetEscalation(t, [new(10, Kim), new(30, Lou)], Start.AddSeconds(-100)));
        var flag = await RaiseAsync(host, 0);
        await CriticalAsync(host, flag, 0);
        Assert.Equal(0, await Gatherer(host, ClockAt(500)).RoundAsync());
        Assert.Equal(1, await Gatherer(host, ClockAt(640)).RoundAsync());
        Assert.Equal(0, await Gatherer(host, ClockAt(1200)).RoundAsync());
        Assert.Equal(Kim, Assert.Single(host.Stores.NoticeQueue.List(null, 10)).Person);
        await host.Services.GetRequiredService<FlagSteps>().TakeAsync(new(flag.Id, null), new(Core.Flags.Life.LifeStepKind.Take), new(Kim, Roles.Analyst, null), host.Services.GetRequiredService<FlagTeams>().Current());
        Assert.Equal(0, await Gatherer(host, ClockAt(1900)).RoundAsync());
        Assert.Single(host.Stores.NoticeQueue.List(null, 10));
    }

    [Fact]
    public async Task A_digest_gathers_and_the_end_of_a_subscription_drops_what_waits()
    {
        using var host = new NoLoopsHost();
        await host.WaitUntilIdle();
        var digest = await SubscribeAsync(host, Kim, digest: new(6, 0));
        var ended = await SubscribeAsync(host, Lou, digest: new(6, 0));
        for (var i = 0; i < 3; i++) await RaiseAsync(host, 600 * i);
        Assert.Equal(0, await Gatherer(host, ClockAt(3600)).RoundAsync());
        Assert.Equal(6, host.Stores.Notices.WaitingItems);
        await host.Stores.Database.WriteAsync(t => NoticeStore.End(t, ended, Start.AddSeconds(3600)));
        Assert.Equal(1, await Gatherer(host, ClockAt(6 * 3600)).RoundAsync());
        var message = Assert.Single(host.Stores.NoticeQueue.List(null, 10));
        Assert.Equal(digest, message.Subscription);
        Assert.Contains("digest, 3 flags", message.Subject, StringComparison.Ordinal);
        // A program that starts again, within the hour or at the next digest, makes no second one of the same.
        Assert.Equal(0, await Gatherer(host, ClockAt(6 * 3600 + 10)).RoundAsync());
        Assert.Equal(0, await Gatherer(host, ClockAt(12 * 3600)).RoundAsync());
        Assert.Equal(0, host.Stores.Notices.WaitingItems);
    }
}
