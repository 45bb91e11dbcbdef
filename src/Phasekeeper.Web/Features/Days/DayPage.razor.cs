using Microsoft.AspNetCore.Components;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Pipeline.SignOff;
using Phasekeeper.Storage;
using Phasekeeper.Web.Shared.Addresses;

namespace Phasekeeper.Web.Features.Days;

/// <summary>The sheet of a UTC day: what the system proposes and why, what changed, the sign-off, holds and notes. Without a day: the newest that nobody has signed off, else the newest.</summary>
public sealed partial class DayPage(Stores stores, SignOffDesk desk)
{
    private const int MostFlags = 12;
    private const int MostNotes = 8;
    // Chosen: two weeks of days fit beside the sheet.
    private const int MostDays = 14;
    private DaySheet? sheet;
    private IReadOnlyList<DayOutline> days = [];
    // Chosen: a week; what changes later is for who looks at that day.
    private const int DaysLookedAt = 7;
    private IReadOnlyDictionary<DateOnly, int> changed = new Dictionary<DateOnly, int>();
    private IReadOnlyList<SignOffRow> history = [];
    private IReadOnlyList<OrbitHoldRow> holds = [];
    private IReadOnlyList<HandOverItem> notes = [];

    /// <summary>The day, yyyy-MM-dd.</summary>
    [Parameter]
    public string? Date { get; set; }

    /// <inheritdoc/>
    protected override bool Concerns(Change change) => change.Kind is ChangeKind.SignOff or ChangeKind.Flag or ChangeKind.Orbit or ChangeKind.Winds or ChangeKind.Coefficients;

    /// <inheritdoc/>
    protected override Func<Action> Loader(AddressReader address)
    {
        const string instead = "The newest day that nobody has signed off is shown";
        var mission = Mission!;
        var asked = address.Day("day", Date, Pipeline.Exports.WindDay.Covers, instead);
        return () =>
        {
            var all = desk.Newest(mission, MostDays);
            var day = asked is { } wanted ? desk.Read(mission, wanted) : null;
            if (asked is not null && day is null && all.Count > 0) address.Note("day", Date!, "a UTC day with orbits that have data", instead);
            if (day is null && (all.FirstOrDefault(d => d is { IsOver: true, Signed: null }) ?? all.FirstOrDefault(d => d.IsOver) ?? all.FirstOrDefault()) is { } newest) day = desk.Read(mission, newest.Date);
            var others = desk.ChangedSince(mission, all.Where(d => d.Signed is not null).Take(DaysLookedAt)).ToDictionary(d => d.Date, d => d.Changes);
            var signOffs = day is null ? [] : stores.SignOffs.OfDay(DayReader.DayNumber(day.Day.Date));
            var held = day is { Orbits.Count: > 0 } ? stores.Holds.History(day.Orbits[0].Orbit, day.Orbits[^1].Orbit) : [];
            var rows = stores.HandOvers.Newest(MostNotes);
            var reads = stores.HandOvers.Reads([.. rows.Select(r => r.Id)]);
            HandOverItem[] items = [.. rows.Select(r => HandOverItem.Of(r, reads[r.Id]))];
            return () => (sheet, days, changed, history, holds, notes) = (day, all, others, [.. signOffs.Reverse()], [.. held.Reverse()], items);
        };
    }

    private static string ChipOf(DaySheet sheet) => sheet.State switch { "signed" => sheet.Day.Signed!.Verdict, "changed" => "reopened", "unsigned" => "waiting", _ => "provisional" };

    private static string StateText(DaySheet sheet) => sheet.State switch
    {
        "signed" => DayWords.Phrase(sheet.Day.Signed!.Verdict),
        "changed" => $"{DayWords.Phrase(sheet.Day.Signed!.Verdict)}; changed since",
        "unsigned" => "not signed off",
        _ => "running",
    };
}
