using System.Text.Json;
using Phasekeeper.Core.Notices;
using Phasekeeper.Core.Time;
using Phasekeeper.Web.Api;

namespace Phasekeeper.Web.Features.Notices;

/// <summary>The body of a webhook.</summary>
/// <param name="Schema">phasekeeper-notice/1.</param>
/// <param name="Id">Id of the message: a repeat has the same.</param>
/// <param name="Mission">Name of the spacecraft.</param>
/// <param name="Form">cause, held, digest, many or trial.</param>
/// <param name="Subject">One line.</param>
/// <param name="Text">The message in words.</param>
/// <param name="Advice">What it is not.</param>
/// <param name="Events">What it tells.</param>
public sealed record NoticeBody(string Schema, string Id, string Mission, string Form, string Subject, string Text, string Advice, IReadOnlyList<NoticeBodyEvent> Events);

/// <summary>An event of a webhook's body.</summary>
/// <param name="Key">Names the event for good.</param>
/// <param name="Kind">raised, worsened, reopened, mention, escalation or progress.</param>
/// <param name="Time">Wall clock.</param>
/// <param name="Severity">Severity then.</param>
/// <param name="Actor">Who.</param>
/// <param name="Note">Why, or the comment.</param>
/// <param name="Flag">Id of the flag.</param>
/// <param name="State">Its state when the message was made.</param>
/// <param name="Message">Its sentence.</param>
/// <param name="Value">Value that went furthest.</param>
/// <param name="Limit">Limit that it left.</param>
/// <param name="Unit">Unit of both.</param>
/// <param name="FirstOrbit">First orbit.</param>
/// <param name="LastOrbit">Last orbit.</param>
/// <param name="Link">Page of the flag; null when no base address is configured.</param>
public sealed record NoticeBodyEvent(
    string Key, string Kind, Instant Time, string Severity, string Actor, string Note, string Flag, string? State, string? Message, double? Value, double? Limit, string? Unit, int? FirstOrbit, int? LastOrbit, string? Link);

/// <summary>Writes bodies of webhooks.</summary>
internal static class NoticeJson
{
    private const string Schema = "phasekeeper-notice/1";

    public static string Of(PlannedNotice notice, NoticeText words, string mission, string? baseAddress, Func<string, NoticeFlag?> flagOf) => Text(new NoticeBody(
        Schema, notice.Id, mission, notice.Form.ToString().ToLowerInvariant(), words.Subject, words.Text, NoticeText.Advice, [.. notice.Items.Select(i => EventOf(i.Event, baseAddress, flagOf(i.Event.Flag)))]));

    public static string Trial(string id, string mission, string subject, string text) => Text(new NoticeBody(Schema, id, mission, "trial", subject, text, NoticeText.Advice, []));

    private static NoticeBodyEvent EventOf(NoticeEvent e, string? baseAddress, NoticeFlag? flag) => new(
        e.Key, NoticeKindWords.WordOf(e.Kind), e.Time, e.Severity.ToString().ToLowerInvariant(), e.Actor, e.Note, e.Flag, flag?.State, flag?.Message, Finite(flag?.Value), Finite(flag?.Limit), flag?.Unit,
        flag?.FirstOrbit, flag?.LastOrbit, baseAddress is null ? null : $"{baseAddress}/flags/{Uri.EscapeDataString(e.Flag)}");

    private static double? Finite(double? value) => value is { } v && double.IsFinite(v) ? v : null;

    private static string Text(NoticeBody body) => JsonSerializer.Serialize(body, ApiJson.Options);
}
