using System.Text.Json;
using Phasekeeper.Core.Orbits;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Pipeline.Orbits;

/// <summary>An outline as the store keeps it beside its file. Times are TAI nanoseconds.</summary>
internal static class EphemerisOutlineText
{
    // To be raised when the reader of orbit files or the search for nodes finds something else in the same file.
    private const int Version = 1;

    private sealed record Document(int Version, int CatalogNumber, long? Created, string Kind, long[][] Coverage, long[] Nodes, double? PeriodS, long? FirstEpoch, int? Revolution);

    /// <summary>Writes it. <paramref name="catalogNumber"/>: which satellite of the file the profile chose.</summary>
    public static string Write(EphemerisOutline outline, Instant? createdAt, int catalogNumber) => JsonSerializer.Serialize(new Document(
        Version, catalogNumber, createdAt?.TaiNanoseconds, outline.Kind.ToString(), [.. outline.Coverage.Select(c => new[] { c.Start.TaiNanoseconds, c.End.TaiNanoseconds })],
        [.. outline.Nodes.Select(n => n.TaiNanoseconds)], double.IsFinite(outline.PeriodS) ? outline.PeriodS : null, outline.FirstEpoch?.TaiNanoseconds, outline.RevolutionAtFirstEpoch));

    /// <summary>Reads it; false for one that another version made, or for another satellite: the file has to be read again.</summary>
    public static bool TryRead(string text, int catalogNumber, out EphemerisOutline outline, out Instant? createdAt)
    {
        (outline, createdAt) = (null!, null);
        var document = JsonSerializer.Deserialize<Document>(text);
        if (document is null || document.Version != Version || document.CatalogNumber != catalogNumber || !Enum.TryParse<EphemerisKind>(document.Kind, out var kind)) return false;
        outline = new(kind, [.. document.Coverage.Select(c => new TimeStretch(new Instant(c[0]), new Instant(c[1])))], [.. document.Nodes.Select(n => new Instant(n))], document.PeriodS ?? double.NaN,
            document.FirstEpoch is { } epoch ? new Instant(epoch) : null, document.Revolution);
        createdAt = document.Created is { } made ? new Instant(made) : null;
        return true;
    }
}
