namespace Phasekeeper.Storage;

/// <summary>Patterns of SQL's LIKE with <c>\</c> as escape.</summary>
internal static class LikePattern
{
    /// <summary>A pattern that finds a text anywhere; null for none, which looks for nothing.</summary>
    public static string? Holding(string? text) => string.IsNullOrEmpty(text) ? null
        : "%" + text.Replace(@"\", @"\\", StringComparison.Ordinal).Replace("%", @"\%", StringComparison.Ordinal).Replace("_", @"\_", StringComparison.Ordinal) + "%";
}
