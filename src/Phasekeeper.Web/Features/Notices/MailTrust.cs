using System.Net.Security;
using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;

namespace Phasekeeper.Web.Features.Notices;

/// <summary>Whom the mail server's certificate may come from besides the authorities of this computer: a mission's own authority.</summary>
internal static class MailTrust
{
    /// <summary>The check for a PEM file of authorities.</summary>
    /// <exception cref="NoticeSendException">The file cannot be read, or holds no certificate.</exception>
    public static RemoteCertificateValidationCallback Of(string file)
    {
        var authorities = new X509Certificate2Collection();
        try
        {
            authorities.ImportFromPemFile(file);
        }
        catch (Exception failed) when (failed is IOException or UnauthorizedAccessException or CryptographicException)
        {
            throw new NoticeSendException($"Phasekeeper:Notices:Smtp:Authorities: {failed.Message}");
        }
        if (authorities.Count == 0) throw new NoticeSendException($"Found no certificate in {file} (Phasekeeper:Notices:Smtp:Authorities); expected PEM, beginning with BEGIN CERTIFICATE.");
        return (_, certificate, _, errors) => errors == SslPolicyErrors.None || (errors == SslPolicyErrors.RemoteCertificateChainErrors && certificate is not null && IsOf(authorities, certificate));
    }

    // Another name than the server's, or no certificate, is an error of its own and never gets here.
    private static bool IsOf(X509Certificate2Collection authorities, X509Certificate certificate)
    {
        using var own = new X509Certificate2(certificate);
        using var chain = new X509Chain();
        chain.ChainPolicy.TrustMode = X509ChainTrustMode.CustomRootTrust;
        chain.ChainPolicy.CustomTrustStore.AddRange(authorities);
        // A mission's own authority seldom publishes a list of what it took back; taking it out of the file does that.
        chain.ChainPolicy.RevocationMode = X509RevocationMode.NoCheck;
        return chain.Build(own);
    }
}
