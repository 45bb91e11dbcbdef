using Phasekeeper.Core.Comparison;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>Pairs of winds as a BLOB: version, names, columns; zstd. Lossless (the matcher's numbers are stored as they are).</summary>
internal static class ComparisonVectors
{
    private const byte Version = 1;
    private const int NumbersPerPair = 11;

    public static byte[] Encode(IReadOnlyList<ComparisonPair> pairs)
    {
        var writer = new ByteWriter();
        writer.Byte(Version);
        string[] names = [.. pairs.SelectMany(p => new[] { p.View, p.Line }).Distinct()];
        writer.Unsigned((ulong)names.Length);
        foreach (var name in names) writer.Text(name);
        long before = 0;
        foreach (var p in pairs)
        {
            writer.Byte((byte)((int)p.Compared * 2 + (int)p.Sampling));
            writer.Unsigned((ulong)Array.IndexOf(names, p.View));
            writer.Unsigned((ulong)Array.IndexOf(names, p.Line));
            writer.Signed(p.Time.TaiNanoseconds - before);
            before = p.Time.TaiNanoseconds;
        }
        for (var k = 0; k < NumbersPerPair; k++) writer.Numbers([.. pairs.Select(p => Number(p, k))]);
        return Zstd.Frame(writer.ToArray());
    }

    public static ComparisonPair[] Decode(int orbit, int count, ReadOnlySpan<byte> framed)
    {
        var reader = new ByteReader(Zstd.Unframe(framed));
        var version = reader.Byte();
        if (version != Version) throw StorageErrors.BlobDamaged("pairs of winds", $"version {version}; expected {Version}");
        var names = new string[checked((int)reader.Unsigned())];
        for (var i = 0; i < names.Length; i++) names[i] = reader.Text();
        var heads = new (byte Kind, string View, string Line, Instant Time)[count];
        long time = 0;
        for (var i = 0; i < count; i++)
        {
            var (kind, view, line) = (reader.Byte(), names[reader.Unsigned()], names[reader.Unsigned()]);
            time += reader.Signed();
            heads[i] = (kind, view, line, new(time));
        }
        var n = new double[NumbersPerPair][];
        for (var k = 0; k < NumbersPerPair; k++) n[k] = reader.Numbers(count);
        var pairs = new ComparisonPair[count];
        for (var i = 0; i < count; i++)
            pairs[i] = new()
            {
                Compared = (ComparedWind)(heads[i].Kind / 2),
                Sampling = (ColumnSampling)(heads[i].Kind % 2),
                View = heads[i].View,
                Line = heads[i].Line,
                Time = heads[i].Time,
                LatitudeDeg = n[0][i],
                LongitudeDeg = n[1][i],
                AltitudeKm = n[2][i],
                LocalSolarTimeH = n[3][i],
                OwnMs = n[4][i],
                OwnSigmaMs = n[5][i],
                OtherMs = n[6][i],
                OtherSigmaMs = n[7][i],
                DistanceKm = n[8][i],
                Minutes = n[9][i],
                AltitudeGapKm = n[10][i],
                Orbit = orbit,
            };
        return pairs;
    }

    private static double Number(in ComparisonPair p, int k) => k switch
    {
        0 => p.LatitudeDeg,
        1 => p.LongitudeDeg,
        2 => p.AltitudeKm,
        3 => p.LocalSolarTimeH,
        4 => p.OwnMs,
        5 => p.OwnSigmaMs,
        6 => p.OtherMs,
        7 => p.OtherSigmaMs,
        8 => p.DistanceKm,
        9 => p.Minutes,
        _ => p.AltitudeGapKm,
    };
}
