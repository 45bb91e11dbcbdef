using Microsoft.Extensions.Options;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Storage;
using Phasekeeper.Web.Hosting;

namespace Phasekeeper.Web.Features.Reports;

/// <summary>
/// Makes the newest complete day's and week's report by itself, where that is set. It only reads what is stored, beside the engine, and waits while anything is still to be assessed, so data never wait for it.
/// A failure stands in the archive and is tried again, ever later; after three a person is needed, or other data.
/// </summary>
public sealed class ReportSchedule(Stores stores, PipelineEngine engine, ReportMaker maker, TimeProvider clock, IOptions<PhasekeeperOptions> options, ILogger<ReportSchedule> log) : BackgroundService
{
    // Chosen: a day is over when data of more than an orbit after it have come.
    private const double AfterS = 6000;

    // Chosen: a browser that cannot start now may after ten minutes, or after an hour.
    private const double RetryAfterS = 600;
    private const int MostAttempts = 3;
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

    /// <summary>Reports that should be made now.</summary>
    internal IReadOnlyList<ReportSpan> Due()
    {
        var inDemo = string.IsNullOrEmpty(options.Value.Profile);
        if (stores.Archive.LastPacketTime is not { } newest || stores.Work.Peek(WorkKinds.Assess, 1).Count > 0) return [];
        var kinds = new[] { (ReportSpan.Day, options.Value.Reports.Daily ?? inDemo), (ReportSpan.Week, options.Value.Reports.Weekly ?? inDemo) };
        return [.. kinds.Where(k => k.Item2).Select(k => Before(k.Item1, newest.AddSeconds(-AfterS))).Where(IsDue)];
    }

    // The newest one that ends at or before a moment.
    private static ReportSpan Before(string kind, Instant time)
    {
        var holding = ReportSpan.At(kind, time);
        return holding with { First = holding.First.AddDays(-holding.Days) };
    }

    private bool IsDue(ReportSpan span)
    {
        if (stores.Orbits.Touching(span.From, span.To).Count == 0) return false;
        var made = stores.Reports.Of(span.Kind, span.FirstText);
        if (made.Any(r => r.Failure is null)) return false;
        var ground = ReportGround.Of(stores, span).Hash;
        var failed = made.Where(r => r.Ground == ground).ToList();
        return failed.Count == 0 || (failed.Count < MostAttempts && Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime) - failed[0].Made > RetryAfterS * failed.Count * failed.Count);
    }
}
