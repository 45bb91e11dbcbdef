using System.Data.Common;
using System.Globalization;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Pipeline.Coefficients.Drift;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Coefficients.Evidence;

/// <summary>
/// Computes evidence in the background, one proposal at a time on one processor, beside the engine and never in its way: what people asked for first, then every undecided proposal whose newest evidence is missing,
/// unreadable, compares with another set than the one in force at its start, or whose ground has moved (<see cref="GroundMove"/>) once the engine is idle. So a restart goes on by itself. What failed is told and left until somebody asks, until what it rests on has changed, or for an hour (<see cref="AgainAfterS"/>). In between it looks for
/// drift (<see cref="DriftWatch"/>).
/// </summary>
public sealed class EvidenceWorker : BackgroundService
{
    // Chosen: orbits come every 96 minutes; a look costs some queries.
    private static readonly TimeSpan Pause = TimeSpan.FromSeconds(10);
    private readonly Stores stores;
    private readonly PipelineEngine engine;
    private readonly CoefficientDesk desk;
    private readonly EvidenceBoard board;
    private readonly DriftWatch watch;
    private readonly ChangeFeed changes;
    private readonly TimeProvider clock;
    private readonly ILogger<EvidenceWorker> log;
    private readonly EvidenceMaker maker;
    private readonly SemaphoreSlim wake = new(0);
    // What failed, with what it was to rest on and when: not tried again by itself while that stays and until a pause is over.
    private readonly Dictionary<long, (Footing? On, Instant At)> failed = [];

    // What a computation would rest on, as cheaply as can be told: the set that it is compared with, and how much the archive and the auxiliary files hold. Another set is another try at once; other data after a while (they may come all the time).
    private sealed record Footing(long? Against, long Packets, int Files);

    /// <summary>
    /// Time after which what failed is tried again by itself, s. Chosen: a full disk or a locked database is mended in an hour or so, and a failure of another kind costs a minute of one processor in the hour.
    /// </summary>
    public const double AgainAfterS = 3600;

    /// <summary>
    /// Least time between two computations of a proposal that nobody asked for, where only its ground has moved, s. Chosen: late data come in bursts, and a computation takes up to a minute of one processor; meanwhile the
    /// page tells what has moved, and a decision that has not seen it is refused.
    /// </summary>
    public const double LeastBetweenS = 600;

    /// <summary>As <see cref="LeastBetweenS"/>; tests wait less.</summary>
    internal double WaitS { get; set; } = LeastBetweenS;

    /// <summary>A worker on the board.</summary>
    public EvidenceWorker(Stores stores, PipelineEngine engine, CoefficientDesk desk, EvidenceBoard board, DriftWatch watch, ChangeFeed changes, TimeProvider clock, ILogger<EvidenceWorker> log)
    {
        (this.stores, this.engine, this.desk, this.board, this.watch, this.changes, this.clock, this.log) = (stores, engine, desk, board, watch, changes, clock, log);
        maker = new EvidenceMaker(stores);
        board.Asked += Wake;
    }

    /// <summary>Computes what waits, one proposal; false when nothing does.</summary>
    public async Task<bool> StepAsync(CancellationToken cancel)
    {
        if (engine.Mission is null) return false;
        var asked = board.Take();
        if ((asked?.SetId ?? Missing()) is not { } id) return false;
        CoefficientSetRow? set;
        try
        {
            set = stores.Coefficients.Get(id);
        }
        catch (DbException) when (asked is { } request)
        {
            // A database that cannot be read for a moment must not lose what a person asked for.
            board.PutBack(request.SetId, request.Start);
            throw;
        }
        if (set is not { State: CoefficientDecision.Proposed })
        {
            board.Finish(id);
            return true;
        }
        Footing? footing = null;
        try
        {
            board.Report(id, "begins", 0, 0);
            var start = asked?.Start ?? new EvidenceStart(desk.GroundOf(id)?.Ground.ChosenOrbit);
            var (mission, ground) = (engine.Mission, desk.Outlook(id, new() { FromOrbit = start.Orbit }));
            footing = FootingOn(ground.InPlaceOf);
            // A thread of its own: this takes minutes of one processor.
            var evidence = await Task.Factory.StartNew(() => maker.Make(set, ground, mission, (step, done, total) => board.Report(id, step, done, total), cancel), cancel, TaskCreationOptions.LongRunning, TaskScheduler.Default).ConfigureAwait(false);
            evidence = evidence with { Ground = evidence.Ground! with { ChosenOrbit = start.Orbit } };
            await desk.AddEvidenceAsync(id, evidence.Against, EvidenceJson.Write(evidence), cancel).ConfigureAwait(false);
            failed.Remove(id);
            board.Finish(id);
            changes.Publish(ChangeKind.Coefficients, id);
        }
        catch (Exception e) when (e is not OperationCanceledException)
        {
            await FailAsync(set, footing, e, cancel).ConfigureAwait(false);
        }
        return true;
    }

    // Whatever it is that went wrong: the program goes on, and the page, the feed and the log say what and where.
    private async Task FailAsync(CoefficientSetRow set, Footing? footing, Exception e, CancellationToken cancel)
    {
        failed[set.Id] = (footing, Now);
        log.LogError(e, "The evidence of the coefficient set {Name} (number {Id}) could not be computed.", set.Name, set.Id);
        // First what needs no disk: a full one may be the failure.
        board.Fail(set.Id, e.Message);
        await stores.Database.WriteAsync(t => EventStore.Add(t, Now, "coefficients", set.Id.ToString(CultureInfo.InvariantCulture),
            $"The evidence of the proposed coefficient set '{set.Name}' could not be computed: {e.Message}"), cancel).ConfigureAwait(false);
    }

    /// <inheritdoc/>
    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        await engine.Ready.WaitAsync(stoppingToken).ConfigureAwait(false);
        var last = 0L;
        while (!stoppingToken.IsCancellationRequested)
        {
            try
            {
                if (await StepAsync(stoppingToken).ConfigureAwait(false)) continue;
                // Drift shows in flags, which come with assessments: once all that waits is assessed.
                if (stores.Work.IsEmpty && stores.Events.LastId is var now && now != last)
                {
                    last = now;
                    if (await watch.LookAsync(stoppingToken).ConfigureAwait(false) is not null) continue;
                }
            }
            catch (Exception e) when (e is not OperationCanceledException)
            {
                // A database that cannot be read or written for a while must not end the program: ingest and pages go on, and so does this after a pause.
                log.LogError(e, "Evidence of coefficient sets, or looking for their drift, failed; evidence is tried again, drift when something has changed.");
            }
            await wake.WaitAsync(Pause, stoppingToken).ConfigureAwait(false);
        }
    }

    // The oldest undecided proposal that lacks evidence against the set in force at its start, or whose evidence has lost its ground. Before any orbit is complete there is nothing to compute with.
    private long? Missing()
    {
        var open = stores.Coefficients.UndecidedHeads();
        if (open.Count == 0 || !stores.Orbits.Newest(EvidenceOrbits.ByHandOrbits).Any(o => !o.Provisional && o.ReceivedExposures > 0)) return null;
        bool? idle = null;
        foreach (var set in open)
        {
            var known = desk.GroundOf(set);
            var against = Against(set.Id, known?.Ground.ChosenOrbit);
            if (failed.TryGetValue(set.Id, out var then) && (then.On is null || then.On.Against == against) && Now - then.At < (then.On is null || then.On != FootingOn(against) ? WaitS : AgainAfterS)) continue;
            if (known is null || set.EvidenceAgainst != against || set.EvidenceVersion != SoftwareVersion.Current) return set.Id;
            // While orbits wait to be made, their data may go on changing.
            if (known.Move.AsksForMore && (idle ??= stores.Work.IsEmpty) && Now - set.EvidenceComputed!.Value >= WaitS) return set.Id;
        }
        return null;
    }

    private Footing FootingOn(long? against) => new(against, stores.Archive.Size().Packets, stores.Auxiliary.List().Count);

    private Instant Now => Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);

    private long? Against(long id, int? chosen)
    {
        try
        {
            return desk.Outlook(id, new() { FromOrbit = chosen }).InPlaceOf;
        }
        catch (DecisionRefusedException) when (chosen is not null)
        {
            // Another orbit file moved that orbit to where the set cannot begin: whoever computes it is told.
            return null;
        }
    }

    private void Wake()
    {
        if (wake.CurrentCount == 0) wake.Release();
    }

    /// <inheritdoc/>
    public override void Dispose()
    {
        board.Asked -= Wake;
        wake.Dispose();
        base.Dispose();
    }
}
