using FsCheck;
using FsCheck.Fluent;
using FsCheck.Xunit;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Flags.Life;
using Phasekeeper.Core.Notices;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Tests.Notices;

/// <summary>Who is told what and when: whatever happens and whenever somebody looks, nothing is lost, nothing comes twice, and nothing comes in quiet hours.</summary>
public class NoticePlannerTests
{
    private static readonly Instant Start = Instant.FromUtc(2031, 3, 2, 20);

    private sealed record Told(PlannedNotice Notice, Instant At);

    /// <summary>Plays events and looks, a day and a half long, and then looks once more in the second noon after.</summary>
    private static (List<NoticeItem> Wanted, List<Told> Told, List<NoticeItem> Left) Play(int seed, NoticeSubscription[] subscriptions)
    {
        var random = new System.Random(seed);
        var events = Enumerable.Range(0, 60).Select(i => new NoticeEvent(
            $"step.{i}", NoticeKindWords.Offered[random.Next(NoticeKindWords.Offered.Count)], $"flag{random.Next(12)}", (FlagSeverity)random.Next(3), Start.AddSeconds(random.Next(36 * 3600)), random.Next(4) == 0 ? "kim" : "rules", ""))
            .Select(e => e.Kind is NoticeKinds.Mention or NoticeKinds.Escalation ? e with { Concerns = ["kim"] } : e).OrderBy(e => e.Time).ToList();
        var looks = Enumerable.Range(0, 40).Select(_ => Start.AddSeconds(random.Next(36 * 3600))).Order().Append(Start.AddSeconds(86_400 * 4 + 16 * 3600)).ToList();
        var (pending, told, wanted) = (new List<NoticeItem>(), new List<Told>(), new List<NoticeItem>());
        foreach (var now in looks)
        {
            var news = NoticePlanner.ItemsOf(events.Where(e => e.Time <= now), subscriptions);
            events.RemoveAll(e => e.Time <= now);
            wanted.AddRange(news);
            pending.AddRange(news);
            var round = NoticePlanner.Plan(pending, subscriptions, now, flag => flag[..5], _ => true);
            Assert.Empty(round.Dropped);
            told.AddRange(round.Messages.Select(m => new Told(m, now)));
            pending = [.. round.Waiting];
        }
        return (wanted, told, pending);
    }

    private static NoticeSubscription[] Subscriptions(int seed)
    {
        var random = new System.Random(seed);
        return [.. Enumerable.Range(0, 4).Select(i => new NoticeSubscription
        {
            Id = "s" + i,
            Person = i % 2 == 0 ? "kim" : "lou",
            Channel = NoticeChannel.Email,
            Target = "kim@mission.example",
            LeastSeverity = (FlagSeverity)random.Next(3),
            Kinds = (NoticeKinds)random.Next(1, 64),
            OffsetMinutes = random.Next(-48, 57) * 15,
            Quiet = random.Next(3) == 0 ? null : new(random.Next(1440), random.Next(1440)),
            Digest = random.Next(2) == 0 ? null : new(DigestPlan.Choices[random.Next(DigestPlan.Choices.Count)], random.Next(24)),
            CriticalAtOnce = random.Next(2) == 0,
        })];
    }

    [Property(MaxTest = 300)]
    public void Nothing_is_lost_nothing_comes_twice(int seed)
    {
        var (wanted, told, left) = Play(seed, Subscriptions(seed));
        var all = told.SelectMany(t => t.Notice.Items.Select(i => (t.Notice.Subscription.Id, i.Event.Key))).Concat(left.Select(i => (i.Subscription, i.Event.Key))).ToList();
        Assert.Equal(all.Count, all.Distinct().Count());
        Assert.Equal(wanted.Select(i => (i.Subscription, i.Event.Key)).Order(), all.Order());
        Assert.Equal(told.Count, told.Select(t => t.Notice.Id).Distinct().Count());
        // Only quiet hours at the very last look hold anything back for days.
        Assert.All(left, i => Assert.True(i.Due > Start.AddSeconds(86_400 * 4 + 16 * 3600)));
    }

    [Property(MaxTest = 300)]
    public void Nothing_but_what_is_critical_and_may_comes_in_quiet_hours(int seed)
    {
        var (_, told, _) = Play(seed, Subscriptions(seed));
        foreach (var (notice, at) in told)
        {
            Assert.All(notice.Items, i => Assert.True(i.Due <= at));
            if (!notice.Subscription.IsQuiet(at)) continue;
            Assert.True(notice.Urgent);
            Assert.All(notice.Items, i => Assert.True(notice.Subscription.CriticalAtOnce && i.Event.Severity == FlagSeverity.Critical));
        }
    }

    [Property(MaxTest = 200)]
    public void Only_what_is_wanted_comes(int seed)
    {
        var (_, told, _) = Play(seed, Subscriptions(seed));
        foreach (var (notice, _) in told)
        {
            var s = notice.Subscription;
            Assert.All(notice.Items, i => Assert.True(s.Kinds.HasFlag(i.Event.Kind) && i.Event.Actor != s.Person && (i.Event.Concerns.Count == 0 || i.Event.Concerns.Contains(s.Person))
                && (i.Event.Severity >= s.LeastSeverity || i.Event.Kind is NoticeKinds.Mention or NoticeKinds.Escalation)));
        }
    }

    private static readonly NoticeSubscription Plain = new() { Id = "s", Person = "kim", Channel = NoticeChannel.Email, Target = "kim@mission.example", Kinds = NoticeKinds.Raised | NoticeKinds.Escalation };

    private static NoticeEvent Raised(int step, string flag, double afterSeconds = 0, FlagSeverity severity = FlagSeverity.Warning) =>
        new($"step.{step}", NoticeKinds.Raised, flag, severity, Start.AddSeconds(afterSeconds), "rules", "");

    private static NoticeRound Plan(NoticeSubscription subscription, double afterSeconds, params NoticeEvent[] events) =>
        NoticePlanner.Plan(NoticePlanner.ItemsOf(events, [subscription]), [subscription], Start.AddSeconds(afterSeconds), flag => flag[..1], _ => true);

    [Fact]
    public void Flags_of_one_cause_are_one_message_and_others_are_others()
    {
        var round = Plan(Plain, 31, Raised(1, "a1"), Raised(2, "a2"), Raised(3, "b1"));
        Assert.Equal(["step.1,step.2", "step.3"], round.Messages.Select(m => string.Join(',', m.Items.Select(i => i.Event.Key))));
        Assert.Empty(Plan(Plain, 29, Raised(1, "a1")).Messages);
    }

    [Fact]
    public void Very_much_at_once_becomes_one_message()
    {
        var message = Assert.Single(Plan(Plain, 60, [.. Enumerable.Range(0, 26).Select(i => Raised(i, ((char)('a' + i)).ToString()))]).Messages);
        Assert.Equal((NoticeForm.Many, 26), (message.Form, message.Items.Count));
    }

    [Fact]
    public void Quiet_hours_hold_back_until_their_end_and_then_all_is_one_message()
    {
        // 20:00 UTC is 22:00 there; quiet until 06:00 there, 04:00 UTC.
        var sleeper = Plain with { Quiet = new(22 * 60, 6 * 60), OffsetMinutes = 120 };
        var held = NoticePlanner.ItemsOf([Raised(1, "a1"), Raised(2, "b1", 3600)], [sleeper]);
        Assert.All(held, i => Assert.Equal(Instant.FromUtc(2031, 3, 3, 4), i.Due));
        Assert.Equal(NoticeForm.Held, Assert.Single(NoticePlanner.Plan(held, [sleeper], Instant.FromUtc(2031, 3, 3, 4), f => f, _ => true).Messages).Form);
        // The program stood still until the next night.
        var late = NoticePlanner.Plan(held, [sleeper], Instant.FromUtc(2031, 3, 3, 21), f => f, _ => true);
        Assert.Empty(late.Messages);
        Assert.All(late.Waiting, i => Assert.Equal(Instant.FromUtc(2031, 3, 4, 4), i.Due));
        Assert.True(Assert.Single(Plan(sleeper with { CriticalAtOnce = true }, 40, Raised(3, "c", 0, FlagSeverity.Critical)).Messages).Urgent);
    }

    [Theory]
    [InlineData(24, 8, 0, "2031-03-03T08:00:00Z")]
    [InlineData(24, 8, 330, "2031-03-03T02:30:00Z")]
    [InlineData(6, 8, 0, "2031-03-03T02:00:00Z")]
    [InlineData(24, 20, 0, "2031-03-03T20:00:00Z")]
    [InlineData(1, 5, 0, "2031-03-02T21:00:00Z")]
    public void A_digest_goes_out_at_its_hours(int every, int at, int offset, string expected) =>
        Assert.Equal(Instant.ParseUtc(expected), new DigestPlan(every, at).NextAfter(Start, offset));

    [Fact]
    public void A_digest_is_one_message_of_all_that_happened()
    {
        var digest = Plain with { Digest = new(6, 2) };
        var round = Plan(digest, 6 * 3600, Raised(1, "a"), Raised(2, "b", 600), Raised(3, "c", 6 * 3600 + 1));
        Assert.Equal((NoticeForm.Digest, 2), (round.Messages.Single().Form, round.Messages.Single().Items.Count));
        Assert.Equal(Instant.FromUtc(2031, 3, 3, 8), Assert.Single(round.Waiting).Due);
    }

    [Fact]
    public void Escalation_goes_step_by_step_until_somebody_takes_the_flag()
    {
        EscalationStep[] list = [new(10, "kim"), new(30, "lou")];
        WaitingFlag[] waiting = [new("a", 7, Start)];
        Assert.Empty(Escalation.DueBy(waiting, list, Instant.MinValue, Start.AddSeconds(599)));
        Assert.Equal(["escalation.7.10.kim"], Escalation.DueBy(waiting, list, Instant.MinValue, Start.AddSeconds(600)).Select(e => e.Key));
        Assert.Equal(["escalation.7.10.kim", "escalation.7.30.lou"], Escalation.DueBy(waiting, list, Instant.MinValue, Start.AddSeconds(1800)).Select(e => e.Key));
        Assert.Empty(Escalation.DueBy([], list, Instant.MinValue, Start.AddSeconds(1e6)));
        // A list that is new counts from when it is there.
        Assert.Empty(Escalation.DueBy(waiting, list, Start.AddSeconds(5000), Start.AddSeconds(5599)));
        var items = NoticePlanner.ItemsOf(Escalation.DueBy(waiting, list, Instant.MinValue, Start.AddSeconds(1800)), [Plain]);
        Assert.Single(items);
        var taken = NoticePlanner.Plan(items, [Plain], Start.AddSeconds(3600), f => f, _ => false);
        Assert.Empty(taken.Messages);
        Assert.Single(taken.Dropped);
        Assert.Single(NoticePlanner.Plan(items, [Plain], Start.AddSeconds(3600), f => f, _ => true).Messages);
    }

    [Theory]
    [InlineData(NoticeKinds.Raised, LifeState.Withdrawn, false)]
    [InlineData(NoticeKinds.Worsened, LifeState.Withdrawn, false)]
    [InlineData(NoticeKinds.Raised, LifeState.Taken, true)]
    [InlineData(NoticeKinds.Mention, LifeState.Withdrawn, true)]
    [InlineData(NoticeKinds.Progress, LifeState.Withdrawn, true)]
    [InlineData(NoticeKinds.Escalation, LifeState.Raised, true)]
    [InlineData(NoticeKinds.Escalation, LifeState.Reopened, true)]
    [InlineData(NoticeKinds.Escalation, LifeState.Taken, false)]
    [InlineData(NoticeKinds.Escalation, LifeState.Withdrawn, false)]
    public void What_holds_no_more_is_not_told(NoticeKinds kind, LifeState now, bool isNeeded) =>
        Assert.Equal(isNeeded, new NoticeEvent("step.1", kind, "a", FlagSeverity.Critical, Start, "rules", "").IsNeeded(now));

    [Fact]
    public void A_mention_that_is_news_of_the_flag_too_comes_once()
    {
        var both = Plain with { Kinds = NoticeKinds.Mention | NoticeKinds.Progress };
        NoticeEvent[] events = [new("step.1", NoticeKinds.Mention, "a", FlagSeverity.Warning, Start, "lou", "@kim") { Concerns = ["kim"] }, new("step.1", NoticeKinds.Progress, "a", FlagSeverity.Warning, Start, "lou", "@kim")];
        Assert.Equal(NoticeKinds.Mention, Assert.Single(NoticePlanner.ItemsOf(events, [both])).Event.Kind);
        Assert.Equal(NoticeKinds.Progress, Assert.Single(NoticePlanner.ItemsOf(events, [both with { Person = "mo" }])).Event.Kind);
    }
}
