using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging.Abstractions;
using Microsoft.Extensions.Options;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Notices;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Assessment;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Flags;
using Phasekeeper.Web.Features.Notices;
using Phasekeeper.Web.Hosting;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Notices;

/// <summary>What waits for its receiver while the world goes on is looked at again before it is sent.</summary>
public sealed class NoticeNeedTests
{
    private const string Kim = "demo analyst";
    private static readonly Instant Start = Instant.FromUtc(2031, 3, 2, 12);

    [Fact]
    public async Task A_person_who_is_locked_gets_nothing_of_what_waits()
    {
        using var mail = new SmtpReceiver(Behaviour.Temporary);
        using var rig = new NoticeRig(mail.Port);
        var id = await rig.QueueAsync(await rig.SubscribeAsync(NoticeChannel.Email, "kim@mission.example"));
        await rig.Delivery().DeliverDueAsync();
        Assert.Equal(NoticeStates.Waiting, rig.Stores.NoticeQueue.Get(id)!.State);
        rig.People = ["lou"];
        await rig.RunOutAsync();
        Assert.Equal((NoticeStates.Dropped, "Not sent: kim is locked or has no role any more."), (rig.Stores.NoticeQueue.Get(id)!.State, rig.Stores.NoticeQueue.Get(id)!.LastError));
        Assert.Empty(mail.Taken);
    }

    [Fact]
    public async Task Receivers_that_hang_are_asked_once_a_round_and_the_rest_is_due_still()
    {
        using var mail = new SmtpReceiver(Behaviour.Hangs);
        using var rig = new NoticeRig(mail.Port);
        var subscription = await rig.SubscribeAsync(NoticeChannel.Email, "kim@mission.example");
        for (var i = 0; i < 3; i++) await rig.QueueAsync(subscription);
        var round = rig.Delivery().DeliverDueAsync();
        await mail.ConnectedAsync();
        rig.Clock.Advance(NoticeDelivery.TimeOut + TimeSpan.FromSeconds(1));
        await round;
        Assert.Equal([0, 0, 1], rig.Stores.NoticeQueue.List(NoticeStates.Waiting, 10).Select(m => m.Attempts).Order());
        await rig.RunOutAsync();
        Assert.Equal(3, mail.Taken.Count);
    }

    [Fact]
    public async Task A_call_for_a_critical_flag_does_not_go_out_once_somebody_has_it()
    {
        using var world = await World.MakeAsync(NoticeKinds.Escalation);
        await world.Host.Stores.Database.WriteAsync(t => NoticeStore.SetEscalation(t, [new(10, Kim)], Start.AddSeconds(-100)));
        var flag = await world.RaiseAsync(FlagSeverity.Critical);
        var id = await world.FailAsync(640);
        await world.Host.Services.GetRequiredService<FlagSteps>().TakeAsync(new(flag.Id, null), new(Core.Flags.Life.LifeStepKind.Take), new(Kim, Roles.Analyst, null), world.Host.Services.GetRequiredService<FlagTeams>().Current());
        await world.DeliverAsync(700);
        world.AssertSpared(id);
    }

    [Fact]
    public async Task A_flag_that_is_withdrawn_before_it_could_be_told_is_not_told()
    {
        using var world = await World.MakeAsync(NoticeKinds.Raised | NoticeKinds.Worsened);
        var flag = await world.RaiseAsync(FlagSeverity.Warning);
        var id = await world.FailAsync(40);
        await world.WithdrawAsync(flag);
        await world.DeliverAsync(100);
        world.AssertSpared(id);
        // One that is withdrawn before its message is made, as in quiet hours, makes none.
        var other = await world.RaiseAsync(FlagSeverity.Warning, 5000);
        Assert.Equal(0, await world.GatherAsync(20));
        Assert.Equal(1, world.Host.Stores.Notices.WaitingItems);
        await world.WithdrawAsync(other);
        Assert.Equal(0, await world.GatherAsync(40));
        Assert.Equal(0, world.Host.Stores.Notices.WaitingItems);
    }

    /// <summary>A host with one subscription, a mail server that asks to come later once, and a clock for each step.</summary>
    private sealed class World : IDisposable
    {
        private readonly SmtpReceiver mail = new(Behaviour.Temporary);

        public NoLoopsHost Host { get; } = new();

        public static async Task<World> MakeAsync(NoticeKinds kinds)
        {
            var world = new World();
            await world.Host.WaitUntilIdle();
            await world.Host.Stores.Database.WriteAsync(t => NoticeStore.Add(t, new(
                new() { Id = "s", Person = Kim, Channel = NoticeChannel.Email, Target = "kim@mission.example", Kinds = kinds }, null, Start.AddSeconds(-1))));
            return world;
        }

        public async Task<Flag> RaiseAsync(FlagSeverity severity, int orbit = 4000)
        {
            var flag = await SampleFlag.RaiseAsync(Host, orbit, Start, new FlagEvidence(Start, Start.AddSeconds(5760)));
            if (severity != FlagSeverity.Warning) await PutAsync(flag with { Severity = severity }, FlagStepWords.Worsen);
            return flag;
        }

        public Task WithdrawAsync(Flag flag) => PutAsync(flag with { State = FlagState.Withdrawn, WithdrawnReason = "later data" }, FlagStepWords.Withdraw);

        /// <summary>Gathers, and tries the one message once, in vain; gives its id.</summary>
        public async Task<string> FailAsync(double afterSeconds)
        {
            Assert.Equal(1, await GatherAsync(afterSeconds));
            await DeliverAsync(afterSeconds);
            var message = Assert.Single(Host.Stores.NoticeQueue.List(null, 10));
            Assert.Equal((NoticeStates.Waiting, 1), (message.State, message.Attempts));
            return message.Id;
        }

        public Task<int> GatherAsync(double afterSeconds) => NoticeGathererTests.Gatherer(Host, NoticeGathererTests.ClockAt(afterSeconds)).RoundAsync();

        public async Task DeliverAsync(double afterSeconds)
        {
            var options = Options.Create(new PhasekeeperOptions { Notices = new() { Smtp = new() { Host = "127.0.0.1", Port = mail.Port, Security = "none", From = "phasekeeper@mission.example" } } });
            await new NoticeDelivery(Host.Stores, [new MailSender(options)], Host.Services.GetRequiredService<NoticeKeys>(), Host.Services.GetRequiredService<NoticeNeed>(), NoticeGathererTests.ClockAt(afterSeconds), NullLogger<NoticeDelivery>.Instance).DeliverDueAsync();
        }

        public void AssertSpared(string id)
        {
            var message = Host.Stores.NoticeQueue.Get(id)!;
            Assert.Equal(NoticeStates.Dropped, message.State);
            Assert.Contains("somebody took the flag, or it was withdrawn", message.LastError, StringComparison.Ordinal);
            Assert.Empty(mail.Taken);
        }

        public void Dispose()
        {
            Host.Dispose();
            mail.Dispose();
        }

        private Task PutAsync(Flag flag, string step) => Host.Stores.Database.WriteAsync(t => FlagStore.Put(t, FlagJson.Row(flag, Start, Start), step, "rules"));
    }
}
