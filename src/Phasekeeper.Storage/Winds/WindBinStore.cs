using System.Data;
using Dapper;
using Phasekeeper.Core.WindMeans;

namespace Phasekeeper.Storage;

/// <summary>Winds of each orbit in bins of latitude, local time and altitude, made anew with the orbit's vectors (<see cref="WindVectorStore.ReplaceOrbit"/>): one row an orbit and line, some ten kilobytes.</summary>
public sealed class WindBinStore(Database database)
{
    private const byte Version = 1;

    /// <summary>Bins of the orbits from first to last (both included) of a line, in order. Bins of another version of the grid are left out: their orbits wait to be made anew.</summary>
    public IReadOnlyList<OrbitWindBins> Read(int first, int last, string line) => database.Read(c => c.Query<(int Orbit, byte[] Bins)>(
        "SELECT orbit, bins FROM windBin WHERE orbit BETWEEN @first AND @last AND line = @line AND grid = @grid ORDER BY orbit", new { first, last, line, grid = WindBinGrid.Version })
        .Select(r => new OrbitWindBins(r.Orbit, line, Decode(r.Bins))).ToList());

    /// <summary>The newest orbit with winds; null when there is none.</summary>
    public int? Newest() => database.Read(c => c.ExecuteScalar<int?>("SELECT max(orbit) FROM windBin"));

    /// <summary>The last orbit before one that has winds; null when there is none.</summary>
    public int? Before(int orbit) => database.Read(c => c.ExecuteScalar<int?>("SELECT max(orbit) FROM windBin WHERE orbit < @orbit", new { orbit }));

    /// <summary>The first orbit after one that has winds; null when there is none.</summary>
    public int? After(int orbit) => database.Read(c => c.ExecuteScalar<int?>("SELECT min(orbit) FROM windBin WHERE orbit > @orbit", new { orbit }));

    internal static void ReplaceOrbit(IDbTransaction transaction, int orbit, IEnumerable<OrbitWindBins> bins)
    {
        transaction.Connection!.Execute("DELETE FROM windBin WHERE orbit = @orbit", new { orbit }, transaction);
        transaction.Connection!.Execute("INSERT INTO windBin (orbit, line, grid, bins) VALUES (@orbit, @Line, @grid, @bins)",
            bins.Select(b => new { orbit, b.Line, grid = WindBinGrid.Version, bins = Encode(b.Bins) }), transaction);
    }

    private static byte[] Encode(IReadOnlyList<WindBin> bins)
    {
        var writer = new ByteWriter();
        writer.Byte(Version);
        writer.Unsigned((ulong)bins.Count);
        var last = 0;
        foreach (var b in bins)
        {
            writer.Signed(2 * b.Bin + (b.Doubtful ? 1 : 0) - last);
            last = 2 * b.Bin + (b.Doubtful ? 1 : 0);
            writer.Unsigned((ulong)b.Count);
        }
        writer.Numbers([.. bins.Select(b => b.EastwardMs)]);
        writer.Numbers([.. bins.Select(b => b.NorthwardMs)]);
        writer.Numbers([.. bins.Select(b => b.EastwardSquares)]);
        writer.Numbers([.. bins.Select(b => b.NorthwardSquares)]);
        return Zstd.Frame(writer.ToArray());
    }

    private static WindBin[] Decode(byte[] framed)
    {
        var reader = new ByteReader(Zstd.Unframe(framed));
        var version = reader.Byte();
        if (version != Version) throw StorageErrors.BlobDamaged("set of wind bins", $"version {version}; expected {Version}");
        var places = new (int Key, int Count)[checked((int)reader.Unsigned())];
        for (int i = 0, key = 0; i < places.Length; i++)
        {
            key += checked((int)reader.Signed());
            places[i] = (key, checked((int)reader.Unsigned()));
        }
        double[] u = reader.Numbers(places.Length), v = reader.Numbers(places.Length), uu = reader.Numbers(places.Length), vv = reader.Numbers(places.Length);
        return [.. places.Select((p, i) => new WindBin(p.Key / 2, p.Key % 2 == 1, p.Count, u[i], v[i], uu[i], vv[i]))];
    }
}
