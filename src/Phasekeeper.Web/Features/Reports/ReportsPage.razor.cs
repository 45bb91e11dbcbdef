using System.Globalization;
using Microsoft.AspNetCore.Components;
using Microsoft.Extensions.Options;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.People;
using Phasekeeper.Web.Hosting;
using Phasekeeper.Web.Shared.Addresses;

namespace Phasekeeper.Web.Features.Reports;

/// <summary>The archive of reports, and the form that makes one.</summary>
public sealed partial class ReportsPage(Stores stores, ReportMaker maker, ChromiumPrinter printer, ICurrentActor actor, IOptions<PhasekeeperOptions> options)
{
    // Chosen: some months; the API lists all.
    private const int MostRows = 100;
    private IReadOnlyList<(ReportRow Row, bool IsStale, long? Later)> rows = [];
    private ReportSpan wanted = new(ReportSpan.Day, default);
    private ReportSpan? making;
    private string kind = ReportSpan.Day;
    private string? refusal, told;
    private bool busy;

    /// <summary>day (default) or week.</summary>
    [SupplyParameterFromQuery(Name = "kind")]
    public string? KindWanted { get; set; }

    /// <summary>A UTC day; of a week any of its days. Default: the day before mission time.</summary>
    [SupplyParameterFromQuery]
    public string? First { get; set; }

    private string Scheduled => (IsSet(options.Value.Reports.Daily), IsSet(options.Value.Reports.Weekly)) switch
    {
        (true, true) => "days and weeks are made by themselves when they are complete",
        (true, false) => "days are made by themselves when they are complete",
        (false, true) => "weeks are made by themselves when they are complete",
        _ => "none is made by itself here (Phasekeeper:Reports:Daily, Weekly)",
    };

    /// <inheritdoc/>
    protected override bool Concerns(Change change) => change.Kind is ChangeKind.Report or ChangeKind.Orbit or ChangeKind.Flag;

    /// <inheritdoc/>
    protected override Func<Action> Loader(AddressReader address)
    {
        ArgumentNullException.ThrowIfNull(address);
        kind = address.Word("kind", KindWanted, [ReportSpan.Day, ReportSpan.Week], "A day is offered") ?? ReportSpan.Day;
        var day = address.Day("first", First, d => d.Year is > 1900 and < 9990, "The day before mission time is offered");
        var word = kind;
        return () =>
        {
            var at = day is { } asked ? Core.Time.Instant.StartOf(asked) : (stores.Archive.LastPacketTime ?? Mission!.Profile.SpanStart).AddSeconds(-86400);
            var span = ReportSpan.At(word, at);
            var grounds = new Dictionary<ReportSpan, string>();
            var newest = new Dictionary<ReportSpan, long>();
            var read = new List<(ReportRow, bool, long?)>();
            foreach (var row in stores.Reports.Newest(MostRows))
            {
                var of = row.Failure is null ? ReportSpan.Read(row.Kind, row.First) : null;
                long? later = of is not null && newest.TryGetValue(of, out var above) ? above : null;
                if (of is not null && later is null) newest[of] = row.Id;
                read.Add((row, of is not null && later is null && Ground(grounds, of) != row.Ground, later));
            }
            return () => (rows, wanted, making) = (read, span, maker.Making);
        };
    }

    private string Ground(Dictionary<ReportSpan, string> known, ReportSpan span)
    {
        if (!known.TryGetValue(span, out var ground)) known[span] = ground = ReportGround.Of(stores, span).Hash;
        return ground;
    }

    private bool IsSet(bool? setting) => setting ?? string.IsNullOrEmpty(options.Value.Profile);

    private static string Kilobytes(ReportRow row) => ((row.Length ?? 0) / 1000).ToString(CultureInfo.InvariantCulture);

    private async Task MakeAsync()
    {
        (busy, refusal, told) = (true, null, null);
        try
        {
            var row = await maker.MakeAsync(wanted, await actor.GetAsync(Roles.Operator));
            if (row.Failure is null) told = "The report is made; it stands in the archive below.";
            else refusal = $"The report could not be made: {row.Failure}";
        }
        catch (AccessDeniedException denied)
        {
            refusal = denied.Message;
        }
        finally
        {
            busy = false;
        }
        await LoadAsync();
    }
}
