using Phasekeeper.Core.ZeroWind;

namespace Phasekeeper.Storage;

/// <summary>Condensed winds as a BLOB: version, version of the grid, names of lines and views, columns of cells; zstd. Lossless.</summary>
internal static class WindSumVectors
{
    private const byte Version = 1;

    public static byte[] Encode(IReadOnlyList<ZeroWindCell> cells)
    {
        var writer = new ByteWriter();
        writer.Byte(Version);
        writer.Unsigned(ZeroWindGrid.Version);
        string[] lines = [.. cells.Select(c => c.Line).Distinct()], views = [.. cells.Select(c => c.View).Distinct()];
        foreach (var names in new[] { lines, views })
        {
            writer.Unsigned((ulong)names.Length);
            foreach (var name in names) writer.Text(name);
        }
        writer.Unsigned((ulong)cells.Count);
        foreach (var c in cells)
        {
            writer.Unsigned((ulong)Array.IndexOf(lines, c.Line));
            writer.Unsigned((ulong)Array.IndexOf(views, c.View));
            writer.Unsigned((ulong)(2 * c.Bin + (c.Ascending ? 1 : 0)));
            writer.Unsigned((ulong)c.Count);
        }
        writer.Numbers([.. cells.Select(c => c.MeanSinAzimuth)]);
        writer.Numbers([.. cells.Select(c => c.MeanCosAzimuth)]);
        writer.Numbers([.. cells.Select(c => c.MeanWindMs)]);
        writer.Numbers([.. cells.Select(c => c.MeanVarianceM2S2)]);
        writer.Numbers([.. cells.Select(c => c.MeanHour)]);
        return Zstd.Frame(writer.ToArray());
    }

    /// <summary>The cells; null when they are of another grid and must be made anew.</summary>
    public static ZeroWindCell[]? Decode(ReadOnlySpan<byte> framed)
    {
        var reader = new ByteReader(Zstd.Unframe(framed));
        var version = reader.Byte();
        if (version != Version) throw StorageErrors.BlobDamaged("condensed winds", $"version {version}; expected {Version}");
        if (reader.Unsigned() != ZeroWindGrid.Version) return null;
        var lines = Names(ref reader);
        var views = Names(ref reader);
        var count = checked((int)reader.Unsigned());
        var cells = new ZeroWindCell[count];
        for (var i = 0; i < count; i++)
        {
            var (line, view, place) = (reader.Unsigned(), reader.Unsigned(), reader.Unsigned());
            cells[i] = new(views[view], lines[line], (int)(place / 2), place % 2 == 1, (int)reader.Unsigned(), 0, 0, 0, 0, 0);
        }
        double[] sin = reader.Numbers(count), cos = reader.Numbers(count), wind = reader.Numbers(count), variance = reader.Numbers(count), hour = reader.Numbers(count);
        for (var i = 0; i < count; i++)
            cells[i] = cells[i] with { MeanSinAzimuth = sin[i], MeanCosAzimuth = cos[i], MeanWindMs = wind[i], MeanVarianceM2S2 = variance[i], MeanHour = hour[i] };
        return cells;
    }

    private static string[] Names(ref ByteReader reader)
    {
        var names = new string[checked((int)reader.Unsigned())];
        for (var i = 0; i < names.Length; i++) names[i] = reader.Text();
        return names;
    }
}
