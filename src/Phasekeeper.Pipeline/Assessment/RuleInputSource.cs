using Phasekeeper.Core.Activities;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Flags.Grouping;
using Phasekeeper.Core.Flags.Inputs;
using Phasekeeper.Core.Flags.Rules;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Packets.Decoding;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Assessment;

/// <summary>Gives the flag rules what they ask for, from the stores: of the orbits that they ask for alone. One instance a run of the assessment.</summary>
public sealed class RuleInputSource(Stores stores, MissionState mission, ChannelStatistics channelStatistics, FactsCache facts, IReadOnlyList<FlagChange>? pending = null) : IRuleInputSource
{
    /// <inheritdoc/>
    public int FirstOrbit { get; } = stores.Orbits.First ?? 0;

    /// <inheritdoc/>
    public int LastOrbit { get; } = stores.Orbits.Last ?? 0;

    /// <inheritdoc/>
    public IReadOnlyList<Flag> Flags(string rule, int firstOrbit, int lastOrbit) => [.. stores.Flags.OfRule(rule, firstOrbit, lastOrbit).Select(FlagJson.Read)];

    /// <inheritdoc/>
    public RuleInputs Load(RuleInputRequest request)
    {
        if (request.Needs == RuleNeeds.Coverage && !mission.Orbits.CountsDays) return Coverage(request);
        var spans = stores.Orbits.Spans(request.FirstOrbit, request.LastOrbit);
        var inputs = new RuleInputs
        {
            FirstOrbit = request.FirstOrbit,
            LastOrbit = request.LastOrbit,
            Orbits = new OrbitMap(spans.Select(o => new OrbitSpan(o.Orbit, o.Start, o.End))),
            Coefficients = [.. spans.Select(o => Use(o.Orbit, o.Start)).OfType<CoefficientUse>()],
        };
        if (spans.Count == 0) return inputs;
        var (from, to) = (spans[0].Start, spans[^1].End);
        var needs = request.Needs;
        var told = (needs & (RuleNeeds.Arrivals | RuleNeeds.Lamps | RuleNeeds.Steps | RuleNeeds.Spikes)) != 0 ? stores.Orbits.Rows(request.FirstOrbit, request.LastOrbit).Select(o => (Row: o, Facts: facts.Of(o))).ToArray() : [];
        return inputs with
        {
            Series = needs.HasFlag(RuleNeeds.Series) ? [.. SeriesOf(request)] : [],
            Channels = needs.HasFlag(RuleNeeds.Channels) ? [.. ChannelsOf(request, from, to)] : [],
            Profiles = needs.HasFlag(RuleNeeds.Profiles) ? [.. spans.SelectMany(o => ProfilesOf(new OrbitSlot(o.Orbit, o.Start, o.End), request.Only))] : [],
            Arrivals = needs.HasFlag(RuleNeeds.Arrivals) ? [.. told.Select(f => Arrival(f.Row, f.Facts))] : [],
            Lamps = needs.HasFlag(RuleNeeds.Lamps) ? [.. told.SelectMany(f => f.Facts.Lamps.Select(l => new LampArrival(f.Row.Orbit, l.View, l.Line, l.Expected, l.Received, f.Facts.Open)))] : [],
            Events = needs.HasFlag(RuleNeeds.Events) ? [.. EventsOf(from, to)] : [],
            CoverageGaps = needs.HasFlag(RuleNeeds.Coverage) ? [.. Gaps(from, to)] : [],
            Steps = needs.HasFlag(RuleNeeds.Steps) ? [.. told.SelectMany(f => f.Facts.Steps.Select(Step))] : [],
            Overruns = needs.HasFlag(RuleNeeds.Overruns) ? ActivityOverrun.Of(FlagsNow(request.FirstOrbit, request.LastOrbit), mission.Activities) : [],
            Spikes = needs.HasFlag(RuleNeeds.Spikes) ? [.. told.SelectMany(f => f.Facts.Spikes.Select(Spike))] : [],
        };
    }

    /// <inheritdoc/>
    public FlagTopic TopicOf(Flag flag)
    {
        ArgumentNullException.ThrowIfNull(flag);
        return FlagTopics.Of(flag.RuleKind, flag.Thing.Subject, name => FlagGrouping.Facts(mission, name));
    }

    private readonly Dictionary<string, Flag> changed = (pending ?? []).ToDictionary(c => c.After.Id, c => c.After, StringComparer.Ordinal);

    // As they will be stored when this run of the assessment is: what other rules changed in it counts already.
    private IEnumerable<Flag> FlagsNow(int firstOrbit, int lastOrbit)
    {
        return stores.Flags.OfOrbits(firstOrbit, lastOrbit).Where(f => !changed.ContainsKey(f.Id)).Select(FlagJson.Read)
            .Concat(changed.Values.Where(f => f.FirstOrbit <= lastOrbit && f.LastOrbit >= firstOrbit));
    }

    // Data that no file covers lie outside every orbit, so the calendar's orbits count here, not those with data: what lies behind an orbit up to the next
    // one belongs to it, what lies before the first one to that.
    private RuleInputs Coverage(RuleInputRequest request)
    {
        var slots = mission.Orbits.In(Instant.MinValue, Instant.MaxValue);
        var own = slots.Where(o => o.Number >= request.FirstOrbit && o.Number <= request.LastOrbit).ToArray();
        var inputs = new RuleInputs
        {
            FirstOrbit = request.FirstOrbit,
            LastOrbit = request.LastOrbit,
            Orbits = new OrbitMap(slots.Select(o => new OrbitSpan(o.Number, o.Start, o.End))),
        };
        if (own.Length == 0) return inputs;
        var from = own[0] == slots[0] ? Instant.MinValue : own[0].Start;
        var to = own[^1] == slots[^1] ? Instant.MaxValue : slots.First(s => s.Number > own[^1].Number).Start;
        return inputs with { CoverageGaps = [.. Gaps(from, to)] };
    }

    private IEnumerable<CoverageGap> Gaps(Instant from, Instant to) => stores.Fringes.WithoutMotion(from, to).Select(g => new CoverageGap(Lacking(g.From, g.To), g.From, g.To));

    // Without a position nothing can be said of the attitude, so the orbit file is the first to be missed.
    private string Lacking(Instant from, Instant to) => mission.Ephemerides.TryGetState(from, out _, out _) && mission.Ephemerides.TryGetState(to, out _, out _) ? "attitude" : "orbit";

    private IEnumerable<SeriesHistory> SeriesOf(RuleInputRequest request)
    {
        var only = request.Only;
        // A subject is a tracker, or a tracker with a channel; view and line are open where the flag is about all of them.
        string[] trackers = only is null ? [.. request.Rule.Trackers] : [.. request.Rule.Trackers.Where(t => t == only.Value.Subject.Split(':')[0])];
        foreach (var rows in stores.Trackers.OfTrackers(trackers, request.FirstOrbit, request.LastOrbit).Where(r => double.IsFinite(r.Value)).GroupBy(r => r.Key))
        {
            if (TrackerCatalog.Find(rows.Key.Tracker) is not { } tracker) continue;
            var history = new SeriesHistory(rows.Key, tracker.Info.Unit, [.. rows.Select(Point)]);
            if (only is { } o && (history.Subject != o.Subject || (o.View ?? rows.Key.View) != rows.Key.View || (o.Line ?? rows.Key.Line) != rows.Key.Line)) continue;
            yield return history;
        }
    }

    /// <summary>A stored step as rules see it.</summary>
    internal static ImageShiftStep Step(StepFact s) => new(s.View, new Instant(s.Time), s.StepSamples, s.SigmaSamples);

    /// <summary>Stored spikes as rules see them.</summary>
    internal static SpikeCount Spike(SpikeFact s) => new(new Instant(s.Time), s.View, s.Spikes, s.Rows, s.LatitudeDeg ?? double.NaN, s.LongitudeDeg ?? double.NaN);

    /// <summary>A stored value as rules see it.</summary>
    internal static SeriesPoint Point(TrackerRow r) => new()
    {
        Orbit = r.Orbit,
        Time = r.Time,
        Value = r.Charted,
        Sigma = r.Sigma,
        N = r.N,
        Expected = r.Expected,
        Ewma = r.Ewma,
        EwmaSigma = r.EwmaSigma,
        CusumHigh = r.CusumHigh,
        CusumLow = r.CusumLow,
        Provisional = r.Provisional || r.State == "provisional",
    };

    // Every channel is read and unpacked by itself, so several are at once; their order is that of their names.
    private IEnumerable<ChannelStretch> ChannelsOf(RuleInputRequest request, Instant from, Instant to) => mission.Plan.Channels
        .Where(c => !c.IsTimeField && request.Rule.WatchesChannel(c.Name) && (request.Only is not { } only || only.Subject == c.Name))
        .OrderBy(c => c.Name, StringComparer.Ordinal)
        .AsParallel().AsOrdered().Select(c => Stretch(c, request, from, to)).OfType<ChannelStretch>();

    private ChannelStretch? Stretch(ChannelInfo channel, RuleInputRequest request, Instant from, Instant to)
    {
        var limits = AlarmLimits.Of(channel.Parameter);
        if (request.Rule.Kind == LimitKind && !CanBeOut(channel.Name, ChannelLimitKind.LimitsOf(request.Rule, limits), from, to)) return null;
        var samples = stores.Telemetry.Read(channel.Name, from, to);
        if (samples.Count == 0) return null;
        var told = new Core.Flags.Inputs.ChannelSample[samples.Count];
        for (var i = 0; i < told.Length; i++) told[i] = new(samples.TimeAt(i), samples.Values[i], samples.LabelAt(i));
        return new ChannelStretch(channel.Name, channel.Parameter.Unit.Length > 0 ? channel.Parameter.Unit : "1", told, limits);
    }

    private static readonly string LimitKind = new ChannelLimitKind().Id;

    // Hours know their least and largest sample: a channel that stays inside need not be read sample by sample.
    private bool CanBeOut(string channel, ChannelLimits? limits, Instant from, Instant to) =>
        limits is not null && (limits.Labels.Count > 0 || stores.Telemetry.HourExtremes(channel, from, to).Any(h => limits.CanBeLeftBy(h.Min, h.Max)));

    private IEnumerable<ChannelProfile> ProfilesOf(OrbitSlot orbit, FlagThing? only) => channelStatistics.Of(orbit)
        .Where(c => c.StateChanges < 0 && (only is not { } thing || thing.Subject == c.Channel))
        .Select(c => new ChannelProfile(c.Channel, c.Unit.Length > 0 ? c.Unit : "1", orbit.Number, c.Profile));

    private IEnumerable<IntakeEvent> EventsOf(Instant from, Instant to)
    {
        foreach (var e in stores.Streams.Events(from, to))
            if (e.Kind == StreamStore.ClockJump) yield return new(IntakeEventKind.ClockJump, e.From, $"APID {e.Apid}", 1, e.Amount, e.Detail);
            else if (e.Kind == StreamStore.Conflict) yield return new(IntakeEventKind.Conflict, e.From, $"APID {e.Apid}", (int)e.Amount, double.NaN, e.Detail);
        foreach (var q in stores.Quarantine.ByHour(from, to))
            yield return new(IntakeEventKind.Undecodable, q.Time, "packets", q.Count, double.NaN, q.Kind);
    }

    private CoefficientUse? Use(int orbit, Instant start) => mission.Coefficients.At(start) is { } inForce
        ? new CoefficientUse(orbit, inForce.Set.Name, Math.Max(0, (start - inForce.Set.ValidFrom) / 86400)) : null;

    private static OrbitArrival Arrival(OrbitRow row, OrbitFacts facts) => new(row.Orbit, row.ExpectedExposures,
        row.ExpectedRows > 0 ? row.ExpectedExposures * Math.Min(1, row.ReceivedRows / (double)row.ExpectedRows) : row.ReceivedExposures,
        facts.LatencyS ?? double.NaN, facts.LongestGapS, facts.Open);
}
