using System.Globalization;
using System.Security.Cryptography;
using System.Text;

namespace Phasekeeper.Core.Notices;

/// <summary>
/// Signs webhook requests, so that a receiver can tell ours from others': HMAC-SHA-256 (RFC 2104, FIPS 180-4) over "time stamp, full stop, body", with the UTF-8 bytes of the key as it was shown. A receiver computes the
/// same over the bytes that it got, compares in constant time, and refuses time stamps that are older than it likes.
/// </summary>
public static class WebhookSignature
{
    /// <summary>Header with the Unix time of the request, whole seconds.</summary>
    public const string TimeHeader = "Phasekeeper-Timestamp";

    /// <summary>Header with the signature.</summary>
    public const string SignatureHeader = "Phasekeeper-Signature";

    /// <summary>Header with the message's id: a repeat has the same, whatever its time stamp.</summary>
    public const string IdHeader = "Phasekeeper-Message-Id";

    /// <summary>Value of <see cref="SignatureHeader"/>: "v1=" and 64 hexadecimal digits.</summary>
    /// <param name="key">Key as shown.</param>
    /// <param name="unixSeconds">Time stamp.</param>
    /// <param name="body">Body as it is sent.</param>
    public static string Of(string key, long unixSeconds, byte[] body)
    {
        ArgumentNullException.ThrowIfNull(body);
        var prefix = Encoding.ASCII.GetBytes(unixSeconds.ToString(CultureInfo.InvariantCulture) + ".");
        byte[] signed = [.. prefix, .. body];
        return "v1=" + Convert.ToHexStringLower(HMACSHA256.HashData(Encoding.UTF8.GetBytes(key), signed));
    }
}
