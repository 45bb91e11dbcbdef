using System.Runtime.InteropServices;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;

namespace Phasekeeper.Storage;

/// <summary>Values of one series and part as one BLOB: version, count, then column by column orbit and time (differences), points behind the value, state, eight columns of doubles (bit by bit); zstd. Lossless.</summary>
internal static class TrackerPartCodec
{
    private const byte Version = 1;

    public static byte[] Encode(ReadOnlySpan<PlottedValue> values)
    {
        var writer = new ByteWriter();
        writer.Byte(Version);
        writer.Unsigned((ulong)values.Length);
        (long orbit, long time) = (0, 0);
        foreach (var v in values)
        {
            writer.Signed(v.Orbit - orbit);
            writer.Signed(v.Time.TaiNanoseconds - time);
            writer.Signed(v.N);
            writer.Byte((byte)v.State);
            (orbit, time) = (v.Orbit, v.Time.TaiNanoseconds);
        }
        var column = new double[values.Length];
        foreach (var value in Columns)
        {
            for (var i = 0; i < column.Length; i++) column[i] = value(values[i]);
            writer.Bytes(MemoryMarshal.AsBytes<double>(column));
        }
        return Zstd.Frame(writer.ToArray());
    }

    /// <summary>Adds the values of a part, in order of orbits.</summary>
    public static void Decode(ReadOnlySpan<byte> framed, List<PlottedValue> target)
    {
        var reader = new ByteReader(Zstd.Unframe(framed));
        if (reader.Byte() is var version && version != Version) throw StorageErrors.BlobDamaged("tracker part", $"version {version}; expected {Version}");
        var count = checked((int)reader.Unsigned());
        // A count is no promise: each value takes four bytes at least here, and more below.
        var heads = new (int Orbit, long Time, int N, TrackerState State)[reader.Fits(count, 4)];
        (long orbit, long time) = (0, 0);
        for (var i = 0; i < count; i++)
            heads[i] = ((int)(orbit += reader.Signed()), time += reader.Signed(), (int)reader.Signed(), (TrackerState)reader.Byte());
        var all = MemoryMarshal.Cast<byte, double>(reader.Take(checked(count * Columns.Length * sizeof(double))));
        target.EnsureCapacity(target.Count + count);
        for (var i = 0; i < count; i++)
        {
            var (number, at, n, state) = heads[i];
            target.Add(new(number, new Instant(at), all[i], all[count + i], n, all[2 * count + i], all[3 * count + i], all[4 * count + i], all[5 * count + i], all[6 * count + i], all[7 * count + i], state));
        }
    }

    // In the order in which they are read above.
    private static readonly Func<PlottedValue, double>[] Columns = [v => v.Value, v => v.Sigma, v => v.Expected, v => v.Ewma, v => v.EwmaSigma, v => v.Charted, v => v.CusumHigh, v => v.CusumLow];
}
