using System.Security.Cryptography;
using Microsoft.AspNetCore.DataProtection;

namespace Phasekeeper.Web.Features.Notices;

/// <summary>Keys of webhooks: shown once when they are made, kept encrypted with the keys of the data folder, and opened only to sign.</summary>
public sealed class NoticeKeys(IDataProtectionProvider protection)
{
    private readonly IDataProtector protector = protection.CreateProtector("Phasekeeper.Notices.WebhookKey.v1");

    /// <summary>A new key: what is shown, and what is kept.</summary>
    public (string Shown, string Kept) New()
    {
        var shown = "pkw_" + Convert.ToHexStringLower(RandomNumberGenerator.GetBytes(32));
        return (shown, protector.Protect(shown));
    }

    /// <summary>The key as it was shown; null where there is none.</summary>
    /// <exception cref="NoticeSendException">It was encrypted with other keys.</exception>
    public string? Open(string? kept)
    {
        if (kept is null) return null;
        try
        {
            return protector.Unprotect(kept);
        }
        catch (CryptographicException)
        {
            throw new NoticeSendException("The key of this webhook cannot be opened: it was encrypted with keys that are not in this data folder. End the subscription and make a new one.", isFinal: true);
        }
    }
}
