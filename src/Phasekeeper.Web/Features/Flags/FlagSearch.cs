using System.Globalization;
using Phasekeeper.Core.Time;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api.Lists;

namespace Phasekeeper.Web.Features.Flags;

/// <summary>Finds a flag from what a person writes of it.</summary>
public static class FlagSearch
{
    private const string PagePath = "/flags/";

    /// <summary>Flags that stand, the newest start first. An id, or the address of a flag's page, gives that flag alone, whenever it was and even if it is withdrawn.</summary>
    /// <param name="flags">Flags.</param>
    /// <param name="range">Times that they touch, and how many.</param>
    /// <param name="words">Letters of message, rule, subject or id; the number of an orbit; null or empty = all.</param>
    public static Page<FlagRow> Find(FlagStore flags, ListRange range, string? words)
    {
        ArgumentNullException.ThrowIfNull(flags);
        var asked = words?.Trim() is { Length: > 0 } text ? text : null;
        if (asked is not null && flags.Get(IdOf(asked)) is { } named) return new([named], null);
        var orbit = int.TryParse(asked, NumberStyles.None, CultureInfo.InvariantCulture, out var number) ? number : (int?)null;
        return flags.Newest(new() { From = range.From, Until = range.To, Orbit = orbit, Words = orbit is null ? asked : null }, range.Limit, range.Next);
    }

    private static string IdOf(string text) => text.LastIndexOf(PagePath, StringComparison.Ordinal) is >= 0 and var at ? Uri.UnescapeDataString(text[(at + PagePath.Length)..].Split('?', '#')[0]) : text;
}
