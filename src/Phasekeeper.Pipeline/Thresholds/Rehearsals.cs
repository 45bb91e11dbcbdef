using Microsoft.Extensions.Logging;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Flags.Rehearsal;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Thresholds;

/// <summary>The stretch of a rehearsal: the last days, or from and to; nothing said = all history.</summary>
/// <param name="LastDays">So many days up to the newest orbit.</param>
/// <param name="From">Start.</param>
/// <param name="To">End.</param>
public sealed record RehearsalStretch(double? LastDays = null, Instant? From = null, Instant? To = null);

/// <summary>A rehearsal that runs, or ran.</summary>
public sealed class Rehearsal(long id, RuleDeclaration rule, string by)
{
    private double _share;

    /// <summary>Number.</summary>
    public long Id { get; } = id;
    /// <summary>The rule.</summary>
    public RuleDeclaration Rule { get; } = rule;
    /// <summary>Who started it.</summary>
    public string By { get; } = by;
    /// <summary>running, done, cancelled or failed.</summary>
    public string State => Report is not null ? "done" : Failure is not null ? "failed" : Cancelled ? "cancelled" : "running";
    /// <summary>Share that is done, 0 to 1.</summary>
    public double Share { get => Volatile.Read(ref _share); internal set => Volatile.Write(ref _share, value); }
    /// <summary>What it showed; null until it is done.</summary>
    public RehearsalReport? Report { get; internal set; }
    /// <summary>Why it failed; null when it did not.</summary>
    public string? Failure { get; internal set; }
    /// <summary>True when a person ended it.</summary>
    public bool Cancelled { get; internal set; }
    /// <summary>Completed when it is no longer running.</summary>
    public Task Ended { get; internal set; } = Task.CompletedTask;
    internal CancellationTokenSource Ending { get; } = new();
}

/// <summary>Runs rehearsals in the background, one after another, and keeps the last of them. Nothing of the mission changes; that one was started is on record.</summary>
public sealed class Rehearsals(Stores stores, PipelineEngine engine, ChangeFeed changes, TimeProvider clock, ILogger<Rehearsals> log) : IDisposable
{
    /// <summary>Rehearsals that are kept (chosen: what a team has open at a time; those of proposals are in the store).</summary>
    public const int Kept = 24;

    private readonly Lock gate = new();
    private readonly SemaphoreSlim one = new(1);
    private readonly CancellationTokenSource closing = new();
    private readonly List<Rehearsal> kept = [];
    private long last;

    /// <summary>A rehearsal; null when it is not kept (any more).</summary>
    public Rehearsal? Find(long id)
    {
        lock (gate) return kept.Find(r => r.Id == id);
    }

    /// <summary>Starts a rehearsal.</summary>
    /// <exception cref="DecisionRefusedException">The stretch is none, too many wait, or the caller may not.</exception>
    public async Task<Rehearsal> StartAsync(RuleDeclaration rule, RehearsalStretch stretch, Actor actor, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(rule);
        ArgumentNullException.ThrowIfNull(stretch);
        ArgumentNullException.ThrowIfNull(actor);
        if (!Roles.Covers(actor.Role, Roles.Analyst)) throw new DecisionRefusedException(RefusalKind.Forbidden, $"Found the role '{actor.Role}'; rules are rehearsed by an {Roles.Analyst}, {Roles.CalibrationLead} or {Roles.Administrator}.");
        var mission = engine.Mission ?? throw new DecisionRefusedException(RefusalKind.Conflict, "The mission is being opened; try again in a moment.");
        var (first, lastOrbit) = Orbits(stretch);
        lock (gate)
            if (kept.Count(r => r.State == "running") >= Kept / 2) throw new DecisionRefusedException(RefusalKind.Conflict, $"{Kept / 2} rehearsals wait already; try again when some of them are through.");
        var now = Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);
        await stores.Database.WriteAsync(t => RecordStore.Append(t, actor, RecordKinds.RulesRehearse, rule.Id, null, new { Rule = rule.VersionText, FirstOrbit = first, LastOrbit = lastOrbit }, null, now), cancel).ConfigureAwait(false);
        Rehearsal run;
        lock (gate)
        {
            run = new(++last, rule, actor.Name);
            kept.Add(run);
            if (kept.Count > Kept && kept.Find(r => r.State != "running") is { } oldest) kept.Remove(oldest);
            run.Ended = Task.Run(() => RunAsync(run, mission, first, lastOrbit), CancellationToken.None);
        }
        return run;
    }

    /// <summary>Ends a rehearsal that runs or waits.</summary>
    public void Cancel(long id) => Find(id)?.Ending.Cancel();

    private async Task RunAsync(Rehearsal run, Mission.MissionState mission, int first, int lastOrbit)
    {
        using var ending = CancellationTokenSource.CreateLinkedTokenSource(run.Ending.Token, closing.Token);
        try
        {
            await one.WaitAsync(ending.Token).ConfigureAwait(false);
            try
            {
                run.Report = Rehearser.Run(stores, mission, run.Rule, first, lastOrbit, share =>
                {
                    run.Share = share;
                    changes.Publish(ChangeKind.Rehearsal, run.Id);
                }, ending.Token);
                run.Share = 1;
            }
            finally
            {
                one.Release();
            }
        }
        catch (OperationCanceledException)
        {
            run.Cancelled = true;
        }
        catch (RehearsalTooManyException tooMany)
        {
            run.Failure = tooMany.Message;
        }
        catch (Exception e)
        {
            // Of a background task nobody else would hear.
            log.LogError(e, "Rehearsal {Id} of the rule {Rule} failed.", run.Id, run.Rule.Id);
            run.Failure = $"The program failed: {e.Message} Please report it.";
        }
        changes.Publish(ChangeKind.Rehearsal, run.Id);
    }

    private (int First, int Last) Orbits(RehearsalStretch stretch)
    {
        if (stretch.LastDays is { } d && (d <= 0 || !double.IsFinite(d) || stretch.From is not null || stretch.To is not null))
            throw new DecisionRefusedException(RefusalKind.Invalid, $"stretch: found lastDays {d} {(stretch.From is null && stretch.To is null ? "" : "together with from or to")}; expected a number above 0, or from and to, or none of them for all history.");
        if (stretch.From is { } a && stretch.To is { } b && b <= a) throw new DecisionRefusedException(RefusalKind.Invalid, $"stretch: found from {a} and to {b}; expected a start before the end.");
        if (stores.Orbits.First is not { } first || stores.Orbits.Last is not { } newest) return (0, -1);
        var end = stretch.To ?? Instant.MaxValue;
        var start = stretch.LastDays is { } days ? stores.Orbits.Get(newest)!.End.AddSeconds(-days * 86400) : stretch.From ?? Instant.MinValue;
        if (start == Instant.MinValue && end == Instant.MaxValue) return (first, newest);
        var from = stores.Orbits.FirstEndingAfter(start);
        var to = end == Instant.MaxValue ? newest : stores.Orbits.At(end)?.Orbit ?? (stores.Orbits.FirstEndingAfter(end) is { } next ? next - 1 : newest);
        if (from is null || from > to) throw new DecisionRefusedException(RefusalKind.Invalid, $"stretch: no orbit with data lies between {start} and {(end == Instant.MaxValue ? "now" : end)}; the stored ones reach from {stores.Orbits.Get(first)!.Start} to {stores.Orbits.Get(newest)!.End}.");
        return (from.Value, to);
    }

    /// <inheritdoc/>
    public void Dispose()
    {
        closing.Cancel();
        Task[] running;
        lock (gate) running = [.. kept.Select(r => r.Ended)];
        Task.WaitAll(running);
        closing.Dispose();
        one.Dispose();
    }
}
