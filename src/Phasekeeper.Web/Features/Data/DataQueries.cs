using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Intake;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.Data;

/// <summary>Reads what arrived, what became of it and what waits.</summary>
public sealed class DataQueries(Stores stores, IntakeService intake)
{
    private const int LogLength = 15;
    private const int QuarantinePage = 50;
    private const int LargestNumberOfOddities = 200;

    /// <summary>The page.</summary>
    public DataView Read(DataRequest request)
    {
        var to = stores.Archive.LastPacketTime;
        var from = to is null ? null : double.IsFinite(request.SpanS) ? to.Value.AddSeconds(-request.SpanS) : stores.Archive.FirstPacketTime;
        var oddities = from is { } start && request.Tab == DataTabs.Arrived
            ? Oddities(start, to!.Value.AddSeconds(1)) : [];
        return new DataView(from, to, Progress(),
            request.Tab is DataTabs.Arrived or DataTabs.Upload ? stores.Ingest.List(LogLength).Items : [], oddities,
            request.Tab == DataTabs.Quarantine
                ? stores.Quarantine.List(Instant.MinValue, Instant.MaxValue, QuarantinePage, request.Next, request.QuarantineState) : null,
            stores.Quarantine.CountByKind(),
            request.Tab == DataTabs.Files ? [.. stores.Auxiliary.List().Reverse()] : null);
    }

    // What hours found, and what lacks between them; the newest first.
    private List<StreamEventRow> Oddities(Instant from, Instant to) =>
        [.. stores.Streams.Events(from, to).Concat(StreamChecks.GapsBetween(stores.Streams.Coverage(from, to))).OrderByDescending(e => e.From).ThenBy(e => e.Apid).Take(LargestNumberOfOddities)];

    /// <summary>The figures alone.</summary>
    public ProgressView Progress()
    {
        var totals = stores.Ingest.Totals();
        var work = stores.Work.Count();
        var figures = intake.Figures();
        return new ProgressView(figures.Idle, figures.PendingFiles, figures.PendingBytes, totals, work, stores.Work.Aside(), stores.Archive.Size());
    }
}

/// <summary>Tabs of the page of data.</summary>
public static class DataTabs
{
    /// <summary>Completeness, progress, log, oddities.</summary>
    public const string Arrived = "arrived";

    /// <summary>What could not be used.</summary>
    public const string Quarantine = "quarantine";

    /// <summary>Orbit, attitude and activity files.</summary>
    public const string Files = "files";

    /// <summary>Upload by hand.</summary>
    public const string Upload = "upload";

    /// <summary>Tabs with their titles, in order.</summary>
    public static readonly IReadOnlyList<(string Id, string Title)> All =
        [(Arrived, "What arrived"), (Quarantine, "Quarantine"), (Files, "Orbit, attitude, activities"), (Upload, "Upload")];
}
