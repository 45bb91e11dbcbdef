namespace Phasekeeper.Core.Notices;

/// <summary>Checks where notices may go, by the text alone.</summary>
public static class NoticeTargets
{
    /// <summary>Longest e-mail address (RFC 5321, section 4.5.3.1: a path of 256 with its brackets).</summary>
    public const int LongestAddress = 254;

    /// <summary>Longest URL (chosen).</summary>
    public const int LongestUrl = 500;

    private const string AtomSigns = "!#$%&'*+-/=?^_`{|}~.";

    /// <summary>What is wrong with an e-mail address; null when nothing is. Plain addresses only (dot-atom, RFC 5322 section 3.4.1): no names, comments, quotes or lists.</summary>
    public static string? AddressMistake(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        const string expected = "expected one plain e-mail address, such as kim@mission.example";
        if (text.Length is 0 or > LongestAddress) return $"Found {text.Length} characters; {expected}, of at most {LongestAddress}.";
        var at = text.IndexOf('@', StringComparison.Ordinal);
        var isAddress = at > 0 && at <= 64 && at == text.LastIndexOf('@') && IsDotted(text[..at], c => char.IsAsciiLetterOrDigit(c) || AtomSigns.Contains(c, StringComparison.Ordinal))
            && IsDotted(text[(at + 1)..], c => char.IsAsciiLetterOrDigit(c) || c is '-' or '.') && text[(at + 1)..].Split('.').All(l => l.Length <= 63 && l[0] != '-' && l[^1] != '-');
        return isAddress ? null : $"Found '{Shown(text)}'; {expected}.";
    }

    /// <summary>What is wrong with a webhook's address; null when nothing is. Where it leads is looked at with each request.</summary>
    public static string? UrlMistake(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        const string expected = "expected an address that begins with https:// (http:// within networks that the administrator allows), without user name, password or fragment";
        if (text.Length is 0 or > LongestUrl) return $"Found {text.Length} characters; {expected}, of at most {LongestUrl}.";
        return !text.Any(c => char.IsControl(c) || char.IsWhiteSpace(c)) && Uri.TryCreate(text, UriKind.Absolute, out var url) && url.Scheme is "https" or "http" && url.Host.Length > 0 && url.UserInfo.Length == 0 && url.Fragment.Length == 0
            ? null : $"Found '{Shown(text)}'; {expected}.";
    }

    private static bool IsDotted(string text, Func<char, bool> allowed) =>
        text.Length > 0 && text[0] != '.' && text[^1] != '.' && !text.Contains("..", StringComparison.Ordinal) && text.All(allowed);

    private static string Shown(string text) => new([.. text.Take(80).Select(c => char.IsControl(c) ? '?' : c)]);
}
