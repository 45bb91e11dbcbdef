using System.Data;
using System.Globalization;
using System.Text.Json;
using System.Text.Json.Serialization;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.SignOff;
using Phasekeeper.Core.Text;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Pipeline.ZeroWind;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.SignOff;

/// <summary>A sign-off as it is asked for.</summary>
/// <param name="Verdict">What the person says of the day.</param>
/// <param name="Remark">In their words; needed where the verdict is other than the proposed one.</param>
/// <param name="Ground">Key of what they saw (<see cref="DaySheet.Key"/>).</param>
public sealed record SignOffRequest(DayVerdict Verdict, string? Remark, string Ground);

/// <summary>
/// Signs days off and holds orbits: the one call behind the pages and the API. What is decided, its entry in the record and the marks that follow are one transaction, in which the day is read again: a sign-off of what a person no
/// longer sees is refused with what changed.
/// </summary>
public sealed class SignOffDesk(Stores stores, ChangeFeed changes, TimeProvider clock)
{
    /// <summary>Longest remark, reason or note, characters (chosen: a page of text).</summary>
    public const int LongestText = 4000;

    // Chosen: what people have open at once; an older one is refused all the same, without telling what it was.
    private const int MostSeen = 64;
    private static readonly JsonSerializerOptions ProposalOptions = new() { PropertyNamingPolicy = JsonNamingPolicy.CamelCase, Converters = { new JsonStringEnumConverter(JsonNamingPolicy.CamelCase) } };
    private readonly DayReader reader = new(stores);
    private readonly Lock gate = new();
    private readonly Queue<string> order = new();
    private readonly Dictionary<string, DayGround> seen = new(StringComparer.Ordinal);

    /// <summary>The day's sheet; null when no orbit of it has begun. What it shows is remembered, so that a later refusal can tell what changed.</summary>
    public DaySheet? Read(MissionState mission, DateOnly date)
    {
        var sheet = reader.Read(mission, date);
        if (sheet is null) return null;
        lock (gate)
            if (seen.TryAdd(SeenKey(date, sheet.Key), sheet.Ground))
            {
                order.Enqueue(SeenKey(date, sheet.Key));
                if (order.Count > MostSeen) seen.Remove(order.Dequeue());
            }
        return sheet;
    }

    /// <summary>Days in short, the newest first.</summary>
    public IReadOnlyList<DayOutline> Newest(MissionState mission, int most) => reader.Newest(mission, most);

    /// <summary>Which of some days were signed off and are other since, with the number of changes.</summary>
    public IReadOnlyList<(DateOnly Date, int Changes)> ChangedSince(MissionState mission, IEnumerable<DayOutline> days) =>
        [.. days.Where(d => d.Signed is not null).Select(d => (d.Date, Changes: reader.Read(mission, d.Date)?.Since.Count ?? 0)).Where(d => d.Changes > 0)];

    /// <summary>Signs a day off.</summary>
    /// <exception cref="SignOffConflictException">The day is other than the person saw.</exception>
    /// <exception cref="SignOffRefusedException">It cannot be signed off, or a reason is missing.</exception>
    /// <exception cref="KeyNotFoundException">No orbit of the day has begun.</exception>
    public async Task<SignOffRow> SignAsync(MissionState mission, DateOnly date, SignOffRequest request, Actor actor, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(request);
        ArgumentNullException.ThrowIfNull(actor);
        var remark = Text(request.Remark, "remark", needed: false);
        var row = await stores.Database.WriteAsync(t =>
        {
            // There is one writer: what is read on other connections now cannot change before this commits.
            var sheet = reader.Read(mission, date) ?? throw new KeyNotFoundException($"No orbit of this mission with data begins on {Word(date)} (UTC). See the list of days.");
            if (!sheet.Day.IsOver) throw new SignOffRefusedException($"{Word(date)} is not over: its last orbit ends at {FlagText.Moment(sheet.Day.End)}, mission time. A day is signed off when its orbits have ended; single orbits can be held at any time.");
            if (sheet.Key != request.Ground) throw Conflict(date, request.Ground, sheet);
            if (request.Verdict != sheet.Proposal.Verdict && remark.Length == 0)
                throw new SignOffRefusedException($"The system proposes {sheet.Proposal.Verdict.Phrase()}, you say {request.Verdict.Phrase()}: that needs a reason, for whoever reads it next year. Write it into the remark.");
            var before = sheet.Day.Signed;
            var row = new SignOffRow
            {
                Day = DayReader.DayNumber(date),
                Revision = (before?.Revision ?? 0) + 1,
                Verdict = request.Verdict.Word(),
                Proposed = sheet.Proposal.Verdict.Word(),
                Proposal = JsonSerializer.Serialize(sheet.Proposal, ProposalOptions),
                GroundKey = sheet.Key,
                Remark = remark,
                Actor = actor.Name,
                Role = actor.Role,
                Time = Now,
            };
            row = row with { Id = SignOffStore.Add(t, row, sheet.Ground) };
            RecordStore.Append(t, actor, RecordKinds.DaySignOff, Word(date), before is null ? null : RecordOf(before), RecordOf(row), remark, row.Time);
            EventStore.Add(t, row.Time, "day", Word(date), $"{actor.Name} signed {Word(date)} off: {request.Verdict.Phrase()}{(row.Overruled ? $" (proposed: {sheet.Proposal.Verdict.Phrase()})" : "")}.{(remark.Length == 0 ? "" : " " + remark)}");
            if ((before?.Verdict == "held") != (row.Verdict == "held")) MarkZeroWind(t, row.Day);
            return row;
        }, cancel).ConfigureAwait(false);
        changes.Publish(ChangeKind.SignOff);
        return row;
    }

    /// <summary>Holds an orbit's winds, or lets them go.</summary>
    /// <exception cref="SignOffRefusedException">It is so already, or the reason is missing.</exception>
    /// <exception cref="KeyNotFoundException">No data of that orbit have arrived.</exception>
    public async Task<OrbitHoldRow> HoldAsync(int orbit, bool held, string? reason, Actor actor, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(actor);
        var why = Text(reason, "reason", needed: true);
        var row = await stores.Database.WriteAsync(t =>
        {
            var known = OrbitStore.Get(t, orbit) ?? throw new KeyNotFoundException(string.Create(CultureInfo.InvariantCulture, $"No data of orbit {orbit} have arrived, so there are no winds to hold."));
            var before = HoldStore.Newest(t, orbit);
            if ((before?.Held ?? false) == held)
                throw new SignOffRefusedException(string.Create(CultureInfo.InvariantCulture, $"Orbit {orbit} is {(held ? "held already" : "not held by itself")}")
                    + (before is null ? ". Nothing was changed." : $": {before.Actor} {(before.Held ? "held it" : "let it go")} at {FlagText.Moment(before.Time)}: {before.Reason} Nothing was changed.")
                    + (held ? "" : " Where its day is signed off as held, sign the day off anew."));
            var row = new OrbitHoldRow { Orbit = orbit, Revision = (before?.Revision ?? 0) + 1, Held = held, Reason = why, Actor = actor.Name, Role = actor.Role, Time = Now };
            HoldStore.Add(t, row);
            RecordStore.Append(t, actor, held ? RecordKinds.OrbitHold : RecordKinds.OrbitRelease, orbit.ToString(CultureInfo.InvariantCulture), new { held = !held }, new { held }, why, row.Time);
            EventStore.Add(t, row.Time, "hold", orbit.ToString(CultureInfo.InvariantCulture), $"{actor.Name} {(held ? "held" : "let go")} the winds of orbit {orbit}: {why}");
            MarkZeroWind(t, known.Start.ToUnixDay().UnixDay);
            return row;
        }, cancel).ConfigureAwait(false);
        changes.Publish(ChangeKind.SignOff);
        return row;
    }

    /// <summary>Leaves a note for the next shift; gives it as it is stored.</summary>
    /// <exception cref="SignOffRefusedException">There is no text, or too much.</exception>
    public async Task<HandOverRow> HandOverAsync(DateOnly? day, string? text, Actor actor, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(actor);
        var row = new HandOverRow { Day = day is { } date ? DayReader.DayNumber(date) : null, Text = Text(text, "note", needed: true), Actor = actor.Name, Role = actor.Role, Time = Now };
        row = await stores.Database.WriteAsync(t =>
        {
            var stored = row with { Id = HandOverStore.Add(t, row) };
            RecordStore.Append(t, actor, RecordKinds.HandOverWrite, Subject(stored.Id), null, new { day = day is { } d ? Word(d) : null, text = stored.Text }, null, stored.Time);
            EventStore.Add(t, stored.Time, "day", day is { } on ? Word(on) : "", $"{actor.Name} left a note for the next shift: {stored.Text}");
            return stored;
        }, cancel).ConfigureAwait(false);
        changes.Publish(ChangeKind.SignOff);
        return row;
    }

    /// <summary>Notes that a person has read a note.</summary>
    /// <exception cref="SignOffRefusedException">They had before.</exception>
    /// <exception cref="KeyNotFoundException">There is no such note.</exception>
    public async Task ReadNoteAsync(long note, Actor actor, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(actor);
        await stores.Database.WriteAsync(t =>
        {
            _ = stores.HandOvers.Get(note) ?? throw new KeyNotFoundException(string.Create(CultureInfo.InvariantCulture, $"There is no hand-over note {note}."));
            if (!HandOverStore.AddRead(t, new(note, actor.Name, Now))) throw new SignOffRefusedException("You have noted before that you read this note. Nothing was changed.");
            RecordStore.Append(t, actor, RecordKinds.HandOverRead, Subject(note), null, new { readBy = actor.Name }, null, Now);
        }, cancel).ConfigureAwait(false);
        changes.Publish(ChangeKind.SignOff);
    }

    private SignOffConflictException Conflict(DateOnly date, string saw, DaySheet sheet)
    {
        DayGround? ground;
        lock (gate) ground = seen.GetValueOrDefault(SeenKey(date, saw));
        var found = ground is null ? [] : DayChanges.Between(ground, sheet.Ground).ToList();
        if (ground is not null && ground.SignOffs != sheet.Ground.SignOffs && sheet.Day.Signed is { } other)
            found.Insert(0, new("sign-off", $"{other.Actor} signed it off as {other.Verdict} at {FlagText.Moment(other.Time)}.{(other.Remark.Length == 0 ? "" : " " + other.Remark)}"));
        var told = found.Count > 0 ? string.Join(" ", found.Select(c => c.Text)) : "What you saw is not known here any more (or is not of this day).";
        return new($"{Word(date)} has moved on since you looked. {told} Your sign-off was not taken. Look at the day again; if it still holds, sign again.", found);
    }

    // The zero wind of the days that look back on this one leaves held orbits out.
    private void MarkZeroWind(IDbTransaction transaction, long day)
    {
        if (stores.Archive.LastPacketTime is not { } missionTime) return;
        long[] days = [.. ZeroWindStage.DaysLookingBackOn(day, missionTime)];
        if (days.Length > 0) WorkQueue.Mark(transaction, WorkKinds.ZeroWind, days, Now);
    }

    private static string Text(string? text, string what, bool needed)
    {
        var trimmed = text?.Trim() ?? "";
        if (!WholeText.Is(trimmed)) throw new SignOffRefusedException($"The {what} has {WholeText.Found}; expected {WholeText.Expected}.");
        if (needed && trimmed.Length == 0) throw new SignOffRefusedException($"The {what} is missing: write it in a sentence, for whoever reads it next.");
        return trimmed.Length <= LongestText ? trimmed : throw new SignOffRefusedException(string.Create(CultureInfo.InvariantCulture, $"The {what} has {trimmed.Length} characters; at most {LongestText} are kept. Shorten it."));
    }

    private static object RecordOf(SignOffRow row) => new { verdict = row.Verdict, proposed = row.Proposed, revision = row.Revision, ground = row.GroundKey };

    private static string Subject(long note) => "note " + note.ToString(CultureInfo.InvariantCulture);

    private static string Word(DateOnly date) => date.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);

    private static string SeenKey(DateOnly date, string key) => Word(date) + " " + key;

    private Instant Now => Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);
}
