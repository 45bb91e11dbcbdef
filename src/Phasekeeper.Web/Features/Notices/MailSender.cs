using System.Net.Sockets;
using System.Text;
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
        if (!string.IsNullOrWhiteSpace(smtp.Authorities)) client.ServerCertificateValidationCallback = MailTrust.Of(smtp.Authorities.Trim());
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
            throw new NoticeSendException($"The mail server answered {(int)refused.StatusCode}: {Plain(refused.Message, smtp)}", isFinal && (int)refused.StatusCode >= 500);
        }
        catch (SslHandshakeException untrusted)
        {
            // MailKit tells a page of possible causes; the one found is what helps.
            var found = untrusted.ServerCertificate is { } shown ? $"the certificate that it shows ({shown.Subject}) is not trusted or names another host" : "no TLS could be agreed on";
            throw new NoticeSendException($"{smtp.Host}:{smtp.Port}: {found}; expected a certificate for {smtp.Host} from an authority that this computer trusts or Phasekeeper:Notices:Smtp:Authorities names. Nothing was sent, no password either.");
        }
        catch (AuthenticationException refused)
        {
            throw new NoticeSendException($"{smtp.Host}:{smtp.Port} refused the login as {smtp.User}: {Plain(refused.Message, smtp)} Check Phasekeeper:Notices:Smtp:User and Password.");
        }
        catch (Exception failed) when (failed is ProtocolException or ServiceNotConnectedException or NotSupportedException or SocketException or IOException)
        {
            throw new NoticeSendException($"{smtp.Host}:{smtp.Port}: {Plain(failed.Message, smtp)}");
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

    // What a server says may repeat what it was told: the password, in any of the ways in which it is sent, goes out of it.
    private static string Plain(string text, SmtpOptions smtp)
    {
        if (string.IsNullOrEmpty(smtp.Password)) return text;
        var sent = new[] { smtp.Password, Base64(smtp.Password), Base64($"\0{smtp.User}\0{smtp.Password}") };
        return sent.Aggregate(text, (plain, secret) => plain.Replace(secret, "(password)", StringComparison.Ordinal));
    }

    private static string Base64(string text) => Convert.ToBase64String(Encoding.UTF8.GetBytes(text));

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
