using System.Globalization;
using Phasekeeper.Core.SignOff;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.SignOff;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.Days;

/// <summary>A UTC day in the list; orbits count for the day on which they begin.</summary>
/// <param name="Date">The day, yyyy-MM-dd.</param>
/// <param name="State">running | unsigned | signed | changed (signed off, and other since).</param>
/// <param name="Verdict">What people said: usable | remarks | held; null when nobody did.</param>
/// <param name="Proposed">What the system proposes now.</param>
/// <param name="Orbits">Orbits that mission time has reached.</param>
/// <param name="HeldOrbits">Orbits whose winds are held, with the day or by themselves.</param>
/// <param name="SignedBy">Who signed it off.</param>
/// <param name="SignedAt">When, wall clock.</param>
/// <param name="Overruled">True when that was other than proposed then.</param>
/// <param name="Changes">Changes since.</param>
public sealed record DayItem(string Date, string State, string? Verdict, string Proposed, int Orbits, int HeldOrbits, string? SignedBy, Instant? SignedAt, bool Overruled, int Changes)
{
    /// <summary>The item of a sheet.</summary>
    public static DayItem Of(DaySheet sheet)
    {
        ArgumentNullException.ThrowIfNull(sheet);
        var signed = sheet.Day.Signed;
        return new(DayWords.Date(sheet.Day.Date), sheet.State, signed?.Verdict, sheet.Proposal.Verdict.Word(), sheet.Day.Orbits, sheet.Held.Count, signed?.Actor, signed?.Time, signed?.Overruled ?? false, sheet.Since.Count);
    }
}

/// <summary>A reason of the proposed verdict.</summary>
/// <param name="Code">Which rule.</param>
/// <param name="Asks">The verdict that it asks for.</param>
/// <param name="Text">One sentence.</param>
/// <param name="Value">The number behind it.</param>
/// <param name="Limit">The limit that it passed.</param>
/// <param name="Unit">Unit of both.</param>
public sealed record DayReasonItem(string Code, string Asks, string Text, double? Value, double? Limit, string Unit);

/// <summary>An orbit of the day.</summary>
/// <param name="Orbit">Number.</param>
/// <param name="Verdict">The system's verdict.</param>
/// <param name="Held">True when its winds are held.</param>
/// <param name="HeldByItself">True when a person holds the orbit itself.</param>
public sealed record DayOrbitItem(int Orbit, string Verdict, bool Held, bool HeldByItself);

/// <summary>A sign-off.</summary>
/// <param name="Revision">1 for the day's first; the last counts.</param>
/// <param name="Verdict">What the person said.</param>
/// <param name="Proposed">What the system had proposed.</param>
/// <param name="Remark">In their words.</param>
/// <param name="By">Who.</param>
/// <param name="Role">Role.</param>
/// <param name="Time">When, wall clock.</param>
public sealed record SignOffItem(long Revision, string Verdict, string Proposed, string Remark, string By, string Role, Instant Time)
{
    /// <summary>The item of a stored sign-off.</summary>
    public static SignOffItem Of(SignOffRow row)
    {
        ArgumentNullException.ThrowIfNull(row);
        return new(row.Revision, row.Verdict, row.Proposed, row.Remark, row.Actor, row.Role, row.Time);
    }
}

/// <summary>A day's sheet.</summary>
/// <param name="Day">The day as in the list.</param>
/// <param name="Ground">Names what the sheet rests on: a sign-off gives it back, and is refused when the day has moved on.</param>
/// <param name="Reasons">Reasons of the proposed verdict, worst first.</param>
/// <param name="Notes">What else was looked at.</param>
/// <param name="Since">What changed since the sign-off that counts.</param>
/// <param name="Orbits">Orbits with data.</param>
/// <param name="Flags">Ids of the flags that stand.</param>
/// <param name="SignOffs">All sign-offs, oldest first.</param>
public sealed record DayDetail(
    DayItem Day, string Ground, IReadOnlyList<DayReasonItem> Reasons, IReadOnlyList<string> Notes, IReadOnlyList<DayChange> Since, IReadOnlyList<DayOrbitItem> Orbits, IReadOnlyList<string> Flags, IReadOnlyList<SignOffItem> SignOffs)
{
    /// <summary>The detail of a sheet.</summary>
    public static DayDetail Of(DaySheet sheet, IReadOnlyList<SignOffRow> history)
    {
        ArgumentNullException.ThrowIfNull(sheet);
        return new(DayItem.Of(sheet), sheet.Key, [.. sheet.Proposal.Reasons.Select(r => new DayReasonItem(r.Code, r.Asks.Word(), r.Text, r.Value, r.Limit, r.Unit))], sheet.Proposal.Notes, sheet.Since,
            [.. sheet.Orbits.Select(o => new DayOrbitItem(o.Orbit, o.Verdict, sheet.Held.ContainsKey(o.Orbit), sheet.Held.GetValueOrDefault(o.Orbit).HasFlag(HoldKind.Orbit)))], [.. sheet.Flags.Select(f => f.Id)], [.. history.Select(SignOffItem.Of)]);
    }
}

/// <summary>A hold or release.</summary>
/// <param name="Orbit">Orbit.</param>
/// <param name="Held">True: held by itself now.</param>
/// <param name="Reason">Why.</param>
/// <param name="By">Who.</param>
/// <param name="Time">When, wall clock.</param>
public sealed record HoldItem(int Orbit, bool Held, string Reason, string By, Instant Time);

/// <summary>A note from shift to shift.</summary>
/// <param name="Id">Id.</param>
/// <param name="Day">Day that it was written about; null = none in particular.</param>
/// <param name="Text">The note.</param>
/// <param name="By">Who wrote it.</param>
/// <param name="Time">When, wall clock.</param>
/// <param name="ReadBy">Who read it.</param>
public sealed record HandOverItem(long Id, string? Day, string Text, string By, Instant Time, IReadOnlyList<string> ReadBy)
{
    /// <summary>The item of a stored note.</summary>
    public static HandOverItem Of(HandOverRow row, IEnumerable<HandOverReadRow> reads)
    {
        ArgumentNullException.ThrowIfNull(row);
        return new(row.Id, row.Day is { } day ? DayWords.Date(Instant.FromUnixDay(day, 0).UtcDate) : null, row.Text, row.Actor, row.Time, [.. reads.Select(r => r.Actor)]);
    }
}

/// <summary>Words about days.</summary>
internal static class DayWords
{
    /// <summary>yyyy-MM-dd.</summary>
    public static string Date(DateOnly date) => date.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);

    /// <summary>Address of a day's sheet.</summary>
    public static string Link(DateOnly date) => "/day/" + Date(date);

    /// <summary>"usable with remarks" for "remarks".</summary>
    public static string Phrase(string verdict) => DayVerdicts.Parse(verdict)?.Phrase() ?? verdict;

    /// <summary>"signed off as usable by kim at 2031-05-10 07:12 UTC".</summary>
    public static string Signed(SignOffRow row) => $"signed off as {Phrase(row.Verdict)} by {row.Actor} at {Shared.Times.UtcText.DateAndMinute(row.Time)} UTC{(row.Overruled ? $", overruling the proposal “{Phrase(row.Proposed)}”" : ", as proposed")}";
}
