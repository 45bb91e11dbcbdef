using System.Data;
using Dapper;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Winds;

namespace Phasekeeper.Storage;

/// <summary>Winds as they were before a decision about coefficients, until a lead retires them. Four numbers in single precision and the quality of a row; zstd.</summary>
public sealed class FormerWindStore(Database database)
{
    private const byte Version = 1;
    private const int NumbersPerRow = 4;

    /// <summary>Keeps winds of an orbit.</summary>
    public static void Keep(IDbTransaction transaction, long decision, IEnumerable<FormerWind> winds) => transaction.Connection!.Execute(
        """
        INSERT OR REPLACE INTO formerWind (decision, orbit, time, exposure, view, line, rows, vectors, coefficientSet, softwareVersion)
        VALUES (@decision, @Orbit, @Time, @Exposure, @View, @Line, @rows, @vectors, @CoefficientSet, @SoftwareVersion)
        """, winds.Select(w => new { decision, w.Orbit, w.Time, w.Exposure, w.View, w.Line, rows = w.Rows.Count, vectors = Encode(w.Rows), w.CoefficientSet, w.SoftwareVersion }), transaction);

    /// <summary>Gives up what was kept for a decision; gives the number of profiles.</summary>
    public static int Retire(IDbTransaction transaction, long decision) => transaction.Connection!.Execute("DELETE FROM formerWind WHERE decision = @decision", new { decision }, transaction);

    /// <summary>Winds of some orbits as they were before a decision, in order of orbit, time, exposure, view and line.</summary>
    public IReadOnlyList<FormerWind> Read(long decision, int firstOrbit, int lastOrbit) => database.Read(c => c.Query<Row>(
        """
        SELECT orbit, time, exposure, view, line, rows, vectors, coefficientSet, softwareVersion FROM formerWind
        WHERE decision = @decision AND orbit BETWEEN @firstOrbit AND @lastOrbit ORDER BY orbit, time, exposure, view, line
        """, new { decision, firstOrbit, lastOrbit }).Select(r => r.ToWind()).ToList());

    /// <summary>Orbits of which winds are kept for a decision, in order.</summary>
    public IReadOnlyList<int> Orbits(long decision) => database.Read(c => c.Query<int>("SELECT DISTINCT orbit FROM formerWind WHERE decision = @decision ORDER BY orbit", new { decision }).AsList());

    private static byte[] Encode(IReadOnlyList<FormerWindRow> rows)
    {
        using var memory = new MemoryStream();
        using var writer = new BinaryWriter(memory);
        writer.Write(Version);
        foreach (var row in rows) writer.Write((byte)row.Quality);
        for (var v = 0; v < NumbersPerRow; v++)
            foreach (var row in rows) writer.Write((float)Number(row, v));
        writer.Flush();
        return Zstd.Frame(memory.ToArray());
    }

    private static FormerWindRow[] Decode(byte[] framed, int rows)
    {
        var bytes = Zstd.Unframe(framed);
        if (bytes.Length != 1 + rows * (1 + NumbersPerRow * sizeof(float)) || bytes[0] != Version)
            throw StorageErrors.BlobDamaged("wind profile of before a decision", $"version {(bytes.Length > 0 ? bytes[0] : 0)} with {bytes.Length} bytes for {rows} rows; expected version {Version}");
        double Value(int v, int r) => BitConverter.ToSingle(bytes, 1 + rows + (v * rows + r) * sizeof(float));
        return [.. Enumerable.Range(0, rows).Select(r => new FormerWindRow(Value(0, r), Value(1, r), Value(2, r), Value(3, r), (WindQuality)bytes[1 + r]))];
    }

    private static double Number(FormerWindRow row, int v) => v switch
    {
        0 => row.WindMs,
        1 => row.SigmaMs,
        2 => row.LatitudeDeg,
        _ => row.AltitudeKm,
    };

    private sealed record Row
    {
        public int Orbit { get; init; }
        public Instant Time { get; init; }
        public long Exposure { get; init; }
        public string View { get; init; } = "";
        public string Line { get; init; } = "";
        public int Rows { get; init; }
        public byte[] Vectors { get; init; } = [];
        public long? CoefficientSet { get; init; }
        public string SoftwareVersion { get; init; } = "";

        public FormerWind ToWind() => new()
        {
            Orbit = Orbit,
            Time = Time,
            Exposure = Exposure,
            View = View,
            Line = Line,
            Rows = Decode(Vectors, Rows),
            CoefficientSet = CoefficientSet,
            SoftwareVersion = SoftwareVersion,
        };
    }
}
