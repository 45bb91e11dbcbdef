using Phasekeeper.Core.Time;
using Phasekeeper.Core.ZeroWind;

namespace Phasekeeper.Storage;

/// <summary>A zero-wind estimate as a BLOB: version, words, counts, numbers, columns; zstd. Lossless.</summary>
internal static class ZeroWindVectors
{
    private const byte Version = 1;

    public static byte[] Encode(ZeroWindEstimate e)
    {
        var writer = new ByteWriter();
        writer.Byte(Version);
        writer.Byte((byte)e.Status);
        writer.Unsigned((ulong)e.Reasons.Count);
        foreach (var reason in e.Reasons) writer.Text(reason);
        foreach (var time in new[] { e.ExpectedAt, e.From, e.To })
        {
            writer.Byte(time is null ? (byte)0 : (byte)1);
            if (time is { } t) writer.Signed(t.TaiNanoseconds);
        }
        writer.Unsigned((ulong)e.Offsets.Count);
        foreach (var offset in e.Offsets) writer.Text(offset.View);
        foreach (var count in new[] { e.BinsUsed, e.BinsSeen, e.HoursUsed, e.Orbits, e.Days, e.DailyWindSigmaMs.Count, e.Columns.Count }) writer.Unsigned((ulong)count);
        writer.Numbers([.. e.Offsets.Select(o => o.OffsetMs), .. e.Offsets.Select(o => o.SigmaMs), .. e.CovarianceM2S2, .. e.TrendSigmaMs,
            e.Information.Weakest, e.Information.Strongest, e.PairedShare, e.LocalTimeRateHPerDay, .. e.DailyWindSigmaMs]);
        foreach (var column in e.Columns) writer.Byte((byte)column);
        return Zstd.Frame(writer.ToArray());
    }

    public static ZeroWindEstimate Decode(string line, ReadOnlySpan<byte> framed)
    {
        var reader = new ByteReader(Zstd.Unframe(framed));
        var version = reader.Byte();
        if (version != Version) throw StorageErrors.BlobDamaged("zero wind", $"version {version}; expected {Version}");
        var status = (ZeroWindStatus)reader.Byte();
        var reasons = new string[checked((int)reader.Unsigned())];
        for (var i = 0; i < reasons.Length; i++) reasons[i] = reader.Text();
        var times = new Instant?[3];
        for (var i = 0; i < times.Length; i++)
            if (reader.Byte() == 1) times[i] = new Instant(reader.Signed());
        var views = new string[checked((int)reader.Unsigned())];
        for (var i = 0; i < views.Length; i++) views[i] = reader.Text();
        var counts = new int[7];
        for (var i = 0; i < counts.Length; i++) counts[i] = checked((int)reader.Unsigned());
        var v = views.Length;
        var numbers = reader.Numbers(3 * v + v * v + 4 + counts[5]);
        var columns = new ZeroWindColumn[counts[6]];
        for (var i = 0; i < columns.Length; i++) columns[i] = (ZeroWindColumn)reader.Byte();
        var rest = 3 * v + v * v;
        return new()
        {
            Line = line,
            Status = status,
            Reasons = reasons,
            ExpectedAt = times[0],
            Offsets = [.. views.Select((view, i) => new ZeroWindOffset(view, numbers[i], numbers[v + i]))],
            CovarianceM2S2 = numbers[(2 * v)..(2 * v + v * v)],
            TrendSigmaMs = numbers[(2 * v + v * v)..rest],
            Information = (numbers[rest], numbers[rest + 1]),
            BinsUsed = counts[0],
            BinsSeen = counts[1],
            PairedShare = numbers[rest + 2],
            HoursUsed = counts[2],
            Columns = columns,
            DailyWindSigmaMs = numbers[(rest + 4)..],
            Orbits = counts[3],
            Days = counts[4],
            From = times[1],
            To = times[2],
            LocalTimeRateHPerDay = numbers[rest + 3],
        };
    }
}
