using System.ComponentModel;
using Microsoft.AspNetCore.Mvc;
using Microsoft.Extensions.Options;
using Phasekeeper.Core.Time;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api;
using Phasekeeper.Web.Api.Lists;
using Phasekeeper.Web.Hosting;

namespace Phasekeeper.Web.Features.Notices;

/// <summary>A message of the queue. Its text is not here: it belongs to who gets it.</summary>
/// <param name="Id">Id; part of the Message-ID, and header of a webhook.</param>
/// <param name="Person">For whom.</param>
/// <param name="Channel">email or webhook.</param>
/// <param name="Target">Where; of a webhook the host alone.</param>
/// <param name="Subject">Subject.</param>
/// <param name="State">waiting, sending, sent, given-up or dropped.</param>
/// <param name="Attempts">Tries so far.</param>
/// <param name="Created">Wall clock.</param>
/// <param name="NextAttempt">Next try, wall clock; null when none is to come.</param>
/// <param name="LastError">Why the last try failed.</param>
public sealed record NoticeMessageItem(string Id, string Person, string Channel, string Target, string Subject, string State, int Attempts, Instant Created, Instant? NextAttempt, string? LastError)
{
    /// <summary>The item of a message.</summary>
    public static NoticeMessageItem Of(NoticeMessageRow m)
    {
        ArgumentNullException.ThrowIfNull(m);
        return new(m.Id, m.Person, m.Channel, NoticeDesk.Where(m.Channel, m.Target), m.Subject, m.State, m.Attempts, m.Created, m.State == NoticeStates.Waiting ? m.NextAttempt : null, m.LastError);
    }
}

/// <summary>A line of the escalation list.</summary>
/// <param name="AfterMinutes">Minutes.</param>
/// <param name="Person">Who.</param>
public sealed record EscalationItem(int AfterMinutes, string Person);

/// <summary>How notices are set up; no secrets.</summary>
/// <param name="BaseAddress">Address in links; null = no links.</param>
/// <param name="SmtpHost">Mail server; null = no e-mail.</param>
/// <param name="SmtpPort">Its port.</param>
/// <param name="SmtpSecurity">starttls, tls or none.</param>
/// <param name="SmtpLogsIn">Whether it is logged in to.</param>
/// <param name="From">Sender.</param>
/// <param name="WebhookNetworks">Private networks that webhooks may reach.</param>
/// <param name="Escalation">The escalation list.</param>
public sealed record NoticeSettingsItem(string? BaseAddress, string? SmtpHost, int SmtpPort, string SmtpSecurity, bool SmtpLogsIn, string? From, string? WebhookNetworks, IReadOnlyList<EscalationItem> Escalation);

/// <summary>The queue of notices and how they are set up, for administrators.</summary>
public static class NoticesApi
{
    // Chosen: as many as a person looks through.
    private const int Most = 10_000;

    /// <summary>Adds the calls.</summary>
    public static void MapNotices(this IEndpointRouteBuilder api)
    {
        var notices = api.MapGroup("/notices").WithTags("Notices").RequireAuthorization(Roles.Administrator);
        notices.MapGet("", ([AsParameters] ListQuery query, [FromQuery, Description("waiting, sending, given-up, sent or dropped. Default: all.")] string? state, Stores stores) =>
        {
            var range = query.Read();
            if (!string.IsNullOrEmpty(state) && !NoticeStates.All.Contains(state)) throw ApiProblems.BadRequest($"Found state={Core.Notices.NoticeText.OneLine(state, 60)}; expected one of {string.Join(", ", NoticeStates.All)}.");
            var items = stores.NoticeQueue.List(string.IsNullOrEmpty(state) ? null : state, Most).Where(m => m.Created >= range.From && m.Created < range.To).ToList();
            return Page.Of(items, range.Limit, range.Next).Answer(NoticeMessageItem.Of);
        }).WithName("getNotices").WithSummary("Messages of the queue, newest first; from and to are wall clock.");
        notices.MapGet("/settings", (Stores stores, IOptions<PhasekeeperOptions> options) => TypedResults.Json(SettingsOf(stores, options.Value.Notices), ApiJson.Options))
            .WithName("getNoticeSettings").WithSummary("How notices are set up; no secrets.");
    }

    private static NoticeSettingsItem SettingsOf(Stores stores, NoticeOptions options) => new(
        options.Base, options.Smtp.IsOn ? options.Smtp.Host : null, options.Smtp.Port, options.Smtp.Security, !string.IsNullOrEmpty(options.Smtp.User), options.Smtp.From, options.WebhookNetworks,
        [.. stores.Notices.Escalation().Select(s => new EscalationItem(s.AfterMinutes, s.Person))]);
}
