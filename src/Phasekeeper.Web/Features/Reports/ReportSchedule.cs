using Microsoft.Extensions.Options;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Pipeline.SignOff;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Storage;
using Phasekeeper.Web.Hosting;

namespace Phasekeeper.Web.Features.Reports;

/// <summary>
/// Makes the report of every complete day and week by itself, where that is set, from the last one on: what the program missed while it was off is made up for, oldest first, within bounds. Where it never made one,
/// it begins with the newest. A day is made once, also over a restart; a report that a person made of a day that was not over does not count. It only reads what is stored, beside the engine, and waits while anything of its days is still to be decoded, computed or assessed, so data never wait for it.
/// A failure stands in the archive and is tried again, ever later; after three a person is needed, or other data.
/// </summary>
public sealed class ReportSchedule(Stores stores, PipelineEngine engine, ReportMaker maker, TimeProvider clock, IOptions<PhasekeeperOptions> options, ILogger<ReportSchedule> log) : BackgroundService
{
    // Chosen: a day is over when data of more than an orbit after it have come.
    private const double AfterS = 6000;

    // Chosen: a browser that cannot start now may after ten minutes, or after an hour.
    private const double RetryAfterS = 600;
    private const int MostAttempts = 3;

    // Chosen: two weeks off are made up for; of what lies further back nobody waits for a report, and a person can make it.
    private const int MostDays = 14;
    private const int MostWeeks = 4;
    private static readonly TimeSpan Look = TimeSpan.FromMinutes(1);

    /// <inheritdoc/>
    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        await engine.Ready.WaitAsync(stoppingToken);
        using var timer = new PeriodicTimer(Look, clock);
        while (await timer.WaitForNextTickAsync(stoppingToken))
        {
            try
            {
                foreach (var span in Due())
                    if (await maker.MakeAsync(span, Actor.System, stoppingToken) is { Failure: { } failure }) log.LogWarning("{Report} could not be made: {Reason}", span.Title, failure);
            }
            catch (Exception e) when (e is not OperationCanceledException)
            {
                log.LogError(e, "Reports could not be looked after; the next look is in a minute.");
            }
        }
    }

    /// <summary>Reports that should be made now, in the order in which to make them; none while data wait to be assessed.</summary>
    internal IReadOnlyList<ReportSpan> Due() => stores.Archive.LastPacketTime is not { } newest || stores.Work.Peek(WorkKinds.Assess, 1).Count > 0 ? [] : Due(newest);

    /// <summary>Reports that should be made when data up to a mission time have come and are assessed.</summary>
    internal IReadOnlyList<ReportSpan> Due(Instant newest)
    {
        var inDemo = string.IsNullOrEmpty(options.Value.Profile);
        var over = newest.AddSeconds(-AfterS);
        return [.. (options.Value.Reports.Daily ?? inDemo) ? Missing(ReportSpan.Day, over, MostDays) : [], .. (options.Value.Reports.Weekly ?? inDemo) ? Missing(ReportSpan.Week, over, MostWeeks) : []];
    }

    private IEnumerable<ReportSpan> Missing(string kind, Instant over, int most)
    {
        var last = ReportSpan.At(kind, over);
        last = last with { First = last.First.AddDays(-last.Days) };
        var first = stores.Reports.Newest(int.MaxValue).Where(r => r.Kind == kind && r.Actor == Actor.System.Name).Select(r => (Span: ReportSpan.Read(r.Kind, r.First), r.Failure)).Where(r => r.Span is not null).ToList() is { Count: > 0 } own
            ? own.Where(r => r.Failure is null).Select(r => r.Span!.First).DefaultIfEmpty(own.Min(r => r.Span!.First)).Max() : last.First;
        var earliest = last.First.AddDays(-(most - 1) * last.Days);
        for (var day = first > earliest ? first : earliest; day <= last.First; day = day.AddDays(last.Days))
            if (last with { First = day } is var span && IsDue(span)) yield return span;
    }

    private bool IsDue(ReportSpan span)
    {
        OrbitRow[] orbits = [.. stores.Orbits.Touching(span.From, span.To).Where(o => o.Start >= span.From)];
        if (orbits.Length == 0 || DayReader.InWork(stores, orbits[0].Orbit, orbits[^1].Orbit, span.From, orbits[^1].End)) return false;
        var made = stores.Reports.Of(span.Kind, span.FirstText);
        if (made.Any(r => r.Failure is null && r.Actor == Actor.System.Name)) return false;
        var ground = ReportGround.Of(stores, span).Hash;
        var same = made.Where(r => r.Ground == ground).ToList();
        if (same.Any(r => r.Failure is null)) return false;
        return same.Count == 0 || (same.Count < MostAttempts && Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime) - same[0].Made > RetryAfterS * same.Count * same.Count);
    }
}
