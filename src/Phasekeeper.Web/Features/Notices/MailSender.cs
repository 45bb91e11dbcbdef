using MailKit;
using MailKit.Net.Smtp;
using MailKit.Security;
using Microsoft.Extensions.Options;
using MimeKit;
using Phasekeeper.Core.Notices;
using Phasekeeper.Storage;
using Phasekeeper.Web.Hosting;

namespace Phasekeeper.Web.Features.Notices;

/// <summary>Sends by SMTP. A message has the same Message-ID at every try, so that a receiver that got it twice can tell.</summary>
public sealed class MailSender(IOptions<PhasekeeperOptions> options) : INoticeSender
{
    /// <summary>What is missing where no mail server is configured.</summary>
    public const string NotConfigured = "No mail server is configured: set Phasekeeper:Notices:Smtp:Host and Phasekeeper:Notices:Smtp:From.";

    // MailKit's own limit for a single answer, ms; the delivery's time-out for the whole is the stricter one.
    private const int AnswerTimeoutMs = 30_000;

    /// <inheritdoc/>
    public string Channel => "email";

    /// <inheritdoc/>
    public async Task SendAsync(NoticeMessageRow message, string? key, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(message);
        var smtp = options.Value.Notices.Smtp;
        if (!smtp.IsOn) throw new NoticeSendException(NotConfigured);
        var security = SecurityOf(smtp);
        using var mail = Mail(message, smtp.From!.Trim());
        using var client = new SmtpClient { Timeout = AnswerTimeoutMs };
        try
        {
            await client.ConnectAsync(smtp.Host!.Trim(), smtp.Port, security, cancel).ConfigureAwait(false);
            if (!string.IsNullOrEmpty(smtp.User)) await client.AuthenticateAsync(smtp.User, smtp.Password ?? "", cancel).ConfigureAwait(false);
            await client.SendAsync(mail, cancel).ConfigureAwait(false);
        }
        catch (SmtpCommandException refused)
        {
            // RFC 5321, section 4.2.1: 5yz will be refused again as it stands, where it is about this message or recipient.
            var isFinal = (int)refused.StatusCode >= 500 && refused.ErrorCode is SmtpErrorCode.RecipientNotAccepted or SmtpErrorCode.MessageNotAccepted;
            throw new NoticeSendException($"The mail server answered {(int)refused.StatusCode}: {refused.Message}", isFinal && (int)refused.StatusCode >= 500);
        }
        catch (Exception failed) when (failed is AuthenticationException or SslHandshakeException or ProtocolException or ServiceNotConnectedException or NotSupportedException)
        {
            // Messages of these exceptions name servers and protocols, never passwords.
            throw new NoticeSendException($"{smtp.Host}:{smtp.Port}: {failed.Message}");
        }
        try
        {
            await client.DisconnectAsync(quit: true, cancel).ConfigureAwait(false);
        }
        catch (Exception after) when (after is IOException or ProtocolException or CommandException or OperationCanceledException)
        {
            // The server has taken the message already: how it says goodbye changes nothing.
        }
    }

    private static SecureSocketOptions SecurityOf(SmtpOptions smtp) => smtp.Security switch
    {
        "starttls" => SecureSocketOptions.StartTls,
        "tls" => SecureSocketOptions.SslOnConnect,
        "none" when !string.IsNullOrEmpty(smtp.User) => throw new NoticeSendException("Phasekeeper:Notices:Smtp:Security is none and a user is set: the password would go unencrypted. Set starttls or tls, or no user."),
        "none" => SecureSocketOptions.None,
        var other => throw new NoticeSendException($"Found Phasekeeper:Notices:Smtp:Security {NoticeText.OneLine(other, 40)}; expected starttls, tls or none."),
    };

    /// <summary>The message as it goes out.</summary>
    internal static MimeMessage Mail(NoticeMessageRow message, string from)
    {
        if (NoticeTargets.AddressMistake(from) is { } badFrom) throw new NoticeSendException($"Phasekeeper:Notices:Smtp:From: {badFrom}");
        if (NoticeTargets.AddressMistake(message.Target) is { } badTo) throw new NoticeSendException(badTo, isFinal: true);
        var mail = new MimeMessage();
        mail.From.Add(new MailboxAddress("Phasekeeper", from));
        mail.To.Add(new MailboxAddress("", message.Target));
        mail.Subject = NoticeText.OneLine(message.Subject, NoticeText.LongestSubject);
        mail.MessageId = $"{message.Id}@{from[(from.IndexOf('@', StringComparison.Ordinal) + 1)..]}";
        mail.Date = new DateTimeOffset(message.Created.ToDateTimeUtc(), TimeSpan.Zero);
        // RFC 3834: no out-of-office answers to a program.
        mail.Headers.Add(HeaderId.AutoSubmitted, "auto-generated");
        mail.Body = new BodyBuilder { TextBody = message.Text, HtmlBody = message.Html }.ToMessageBody();
        return mail;
    }
}
