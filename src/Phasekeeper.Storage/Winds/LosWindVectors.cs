using Phasekeeper.Core.Winds;

namespace Phasekeeper.Storage;

/// <summary>
/// The rows and matrices of a line-of-sight profile as one BLOB: masks of reasons, vectors over rows, rows of the matrices, lower triangle of the covariance, averaging
/// kernel; zstd. Lossless but for the reasons' sentences, which are the catalogue's when read back.
/// </summary>
internal static class LosWindVectors
{
    private const byte Version = 2;
    private const int NumbersPerRow = 23;

    public static byte[] Encode(LosWindProfile profile)
    {
        var writer = new ByteWriter();
        writer.Byte(Version);
        foreach (var row in profile.Rows)
        {
            writer.Byte((byte)row.Quality);
            writer.Unsigned(WindReasonCatalog.Mask(row.Reasons, WindQuality.Good));
            writer.Unsigned(WindReasonCatalog.Mask(row.Reasons, WindQuality.Doubtful));
            writer.Unsigned(WindReasonCatalog.Mask(row.Reasons, WindQuality.Bad));
        }
        for (var v = 0; v < NumbersPerRow; v++)
        {
            var values = new double[profile.Rows.Count];
            for (var r = 0; r < values.Length; r++) values[r] = Number(profile.Rows[r], v);
            writer.Numbers(values);
        }
        var (n, m) = (profile.MatrixRows.Length, profile.KernelAltitudeKm.Length);
        if (profile.CovarianceM2S2.Length != n * n) throw StorageErrors.LengthMismatch("The covariance of a wind profile", profile.CovarianceM2S2.Length, n * n);
        if (profile.AveragingKernel.Length != n * m) throw StorageErrors.LengthMismatch("The averaging kernel of a wind profile", profile.AveragingKernel.Length, n * m);
        writer.Unsigned((ulong)n);
        foreach (var row in profile.MatrixRows) writer.Unsigned((ulong)row);
        writer.Unsigned((ulong)m);
        writer.Numbers(profile.KernelAltitudeKm);
        writer.Numbers(profile.AveragingKernel);
        writer.Numbers(Lower(profile.CovarianceM2S2, n));
        return Zstd.Frame(writer.ToArray());
    }

    /// <summary>A profile from its columns and vectors; <paramref name="columns"/> gives all that is no vector.</summary>
    public static LosWindProfile Decode(ReadOnlySpan<byte> framed, int rows, LosWindProfile columns)
    {
        var reader = new ByteReader(Zstd.Unframe(framed));
        var version = reader.Byte();
        if (version != Version) throw StorageErrors.BlobDamaged("wind profile", $"version {version}; expected {Version}");
        var quality = new WindQuality[rows];
        var reasons = new IReadOnlyList<WindQualityReason>[rows];
        for (var r = 0; r < rows; r++)
        {
            quality[r] = (WindQuality)reader.Byte();
            ulong notes = reader.Unsigned(), doubtful = reader.Unsigned();
            reasons[r] = WindReasonCatalog.Reasons(notes, doubtful, reader.Unsigned());
        }
        var numbers = new double[NumbersPerRow][];
        for (var v = 0; v < NumbersPerRow; v++) numbers[v] = reader.Numbers(rows);
        var matrixRows = new int[checked((int)reader.Unsigned())];
        for (var i = 0; i < matrixRows.Length; i++) matrixRows[i] = checked((int)reader.Unsigned());
        var heights = reader.Numbers(checked((int)reader.Unsigned()));
        var n = matrixRows.Length;
        return columns with
        {
            Rows = [.. Enumerable.Range(0, rows).Select(r => Row(numbers, r, quality[r], reasons[r]))],
            MatrixRows = matrixRows,
            KernelAltitudeKm = heights,
            AveragingKernel = reader.Numbers(n * heights.Length),
            CovarianceM2S2 = Symmetric(reader.Numbers(n * (n + 1) / 2), n),
        };
    }

    private static double Number(LosWind w, int v) => v switch
    {
        0 => w.LatitudeRad,
        1 => w.LongitudeRad,
        2 => w.AltitudeKm,
        3 => w.AzimuthRad,
        4 => w.ApparentMs,
        5 => w.ApparentSigmaMs,
        6 => w.WindMs,
        7 => w.SigmaMs,
        8 => w.SigmaThroughKernelMs,
        9 => w.VerticalResolutionKm,
        10 => w.KernelDiagonal,
        11 => w.OwnLayerShare,
        12 => w.Budget.PhotonMs,
        13 => w.Budget.ThermalMs,
        14 => w.Budget.ImageShiftMs,
        15 => w.Budget.ZeroWindMs,
        16 => w.Budget.EphemerisMs,
        17 => w.Budget.Attitude.YawMs,
        18 => w.Budget.Attitude.PitchMs,
        19 => w.Budget.Attitude.RollMs,
        20 => w.Budget.InversionMs,
        21 => w.Emission,
        _ => w.EmissionSigma,
    };

    private static LosWind Row(double[][] n, int r, WindQuality quality, IReadOnlyList<WindQualityReason> reasons) => new()
    {
        Row = r,
        LatitudeRad = n[0][r],
        LongitudeRad = n[1][r],
        AltitudeKm = n[2][r],
        AzimuthRad = n[3][r],
        ApparentMs = n[4][r],
        ApparentSigmaMs = n[5][r],
        WindMs = n[6][r],
        SigmaMs = n[7][r],
        SigmaThroughKernelMs = n[8][r],
        VerticalResolutionKm = n[9][r],
        KernelDiagonal = n[10][r],
        OwnLayerShare = n[11][r],
        Budget = new(n[12][r], n[13][r], n[14][r], n[15][r], n[16][r], new(n[17][r], n[18][r], n[19][r]), n[20][r]),
        Emission = n[21][r],
        EmissionSigma = n[22][r],
        Quality = quality,
        Reasons = reasons,
    };

    private static double[] Lower(double[] matrix, int n)
    {
        var lower = new double[n * (n + 1) / 2];
        for (int i = 0, at = 0; i < n; i++)
            for (var j = 0; j <= i; j++) lower[at++] = matrix[i * n + j];
        return lower;
    }

    private static double[] Symmetric(double[] lower, int n)
    {
        var matrix = new double[n * n];
        for (int i = 0, at = 0; i < n; i++)
            for (var j = 0; j <= i; j++) matrix[i * n + j] = matrix[j * n + i] = lower[at++];
        return matrix;
    }
}
