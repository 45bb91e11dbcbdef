namespace Phasekeeper.Web.Features.Data;

/// <summary>Spans before mission time that the page of data offers.</summary>
public static class DataSpans
{
    /// <summary>The one shown at first.</summary>
    public const string Default = "7d";

    /// <summary>Words in the address.</summary>
    public static readonly IReadOnlyList<string> Names = ["24h", "7d", "30d"];

    /// <summary>Length, s; infinite for any other word: everything.</summary>
    public static double SecondsOf(string? span) => span switch { "24h" => 86_400, "7d" => 7 * 86_400, "30d" => 30 * 86_400, _ => double.PositiveInfinity };
}
