namespace Phasekeeper.Web.Features.Notices;

/// <summary>The settings under <c>Phasekeeper:Notices:</c>.</summary>
public sealed class NoticeOptions
{
    /// <summary>Address of this installation as people reach it, e.g. https://phasekeeper.mission.example; empty = messages carry no links.</summary>
    public string? BaseAddress { get; set; }

    /// <summary>The mail server.</summary>
    public SmtpOptions Smtp { get; set; } = new();

    /// <summary>Networks (address/bits, separated by spaces) that webhooks may reach although they are private or local, also without TLS; empty = none.</summary>
    public string? WebhookNetworks { get; set; }

    /// <summary><see cref="BaseAddress"/> without slashes at its end; null where there is none.</summary>
    public string? Base => string.IsNullOrWhiteSpace(BaseAddress) ? null : BaseAddress.Trim().TrimEnd('/');
}

/// <summary>The settings under <c>Phasekeeper:Notices:Smtp:</c>. The password is best given by the environment; it is neither logged nor shown.</summary>
public sealed class SmtpOptions
{
    /// <summary>Host; empty = no e-mail.</summary>
    public string? Host { get; set; }

    /// <summary>Port; default 587, submission.</summary>
    public int Port { get; set; } = 587;

    /// <summary>starttls (default), tls (from the first byte, port 465), or none.</summary>
    public string Security { get; set; } = "starttls";

    /// <summary>PEM file with certificates of authorities (or of the server itself) that are trusted for the mail server besides the computer's; empty = none.</summary>
    public string? Authorities { get; set; }

    /// <summary>Account; empty = no login.</summary>
    public string? User { get; set; }

    /// <summary>Its password.</summary>
    public string? Password { get; set; }

    /// <summary>Sender's address.</summary>
    public string? From { get; set; }

    /// <summary>Whether there is a server to send by.</summary>
    public bool IsOn => !string.IsNullOrWhiteSpace(Host) && !string.IsNullOrWhiteSpace(From);
}
