using Phasekeeper.Core.Fringes;

namespace Phasekeeper.Storage;

/// <summary>
/// The vectors over rows of a result as one BLOB: status, three vectors of counts, eight of doubles (bit by bit, byte planes), hot
/// samples; zstd. Lossless.
/// </summary>
internal static class FringeVectors
{
    private const byte Version = 1;

    public static byte[] Encode(FringeResult result)
    {
        var rows = result.Status.Length;
        var writer = new ByteWriter();
        writer.Byte(Version);
        foreach (var status in result.Status) writer.Byte((byte)status);
        foreach (var counts in Counts(result))
        {
            if (counts.Length != rows) throw StorageErrors.LengthMismatch("A vector of a fringe result", counts.Length, rows);
            foreach (var count in counts) writer.Signed(count);
        }
        foreach (var values in Doubles(result))
        {
            if (values.Length != rows) throw StorageErrors.LengthMismatch("A vector of a fringe result", values.Length, rows);
            writer.Planes(Array.ConvertAll(values, BitConverter.DoubleToUInt64Bits));
        }
        writer.Unsigned((ulong)result.HotSamples.Length);
        var previous = 0;
        foreach (var hot in result.HotSamples)
        {
            writer.Signed(hot - previous);
            previous = hot;
        }
        return Zstd.Frame(writer.ToArray());
    }

    /// <summary>A result from its columns and vectors; <paramref name="columns"/> gives all that is no vector.</summary>
    public static FringeResult Decode(ReadOnlySpan<byte> framed, int rows, FringeResult columns)
    {
        var reader = new ByteReader(Zstd.Unframe(framed));
        var version = reader.Byte();
        if (version != Version) throw StorageErrors.BlobDamaged("fringe result", $"version {version}; expected {Version}");
        var status = new RowStatus[rows];
        for (var r = 0; r < rows; r++) status[r] = (RowStatus)reader.Byte();
        var masked = ReadCounts(ref reader, rows);
        var spikes = ReadCounts(ref reader, rows);
        var saturated = ReadCounts(ref reader, rows);
        var doubles = new double[8][];
        for (var v = 0; v < doubles.Length; v++) doubles[v] = Array.ConvertAll(reader.Planes(rows), BitConverter.UInt64BitsToDouble);
        var hot = new int[checked((int)reader.Unsigned())];
        var previous = 0;
        for (var i = 0; i < hot.Length; i++) hot[i] = previous += (int)reader.Signed();
        return columns with
        {
            Status = status,
            MaskedSamples = masked,
            SpikeSamples = spikes,
            SaturatedSamples = saturated,
            PhaseRad = doubles[0],
            PhaseSigmaRad = doubles[1],
            Visibility = doubles[2],
            VisibilitySigma = doubles[3],
            SignalElectrons = doubles[4],
            SignalSigmaElectrons = doubles[5],
            ChiSquare = doubles[6],
            VelocityRemovedMs = doubles[7],
            HotSamples = hot,
        };
    }

    private static int[][] Counts(FringeResult r) => [r.MaskedSamples, r.SpikeSamples, r.SaturatedSamples];

    private static double[][] Doubles(FringeResult r) =>
        [r.PhaseRad, r.PhaseSigmaRad, r.Visibility, r.VisibilitySigma, r.SignalElectrons, r.SignalSigmaElectrons, r.ChiSquare, r.VelocityRemovedMs];

    private static int[] ReadCounts(ref ByteReader reader, int rows)
    {
        var counts = new int[rows];
        for (var r = 0; r < rows; r++) counts[r] = (int)reader.Signed();
        return counts;
    }
}
