using Phasekeeper.Core.Time;
using Phasekeeper.Core.Winds;

namespace Phasekeeper.Storage;

/// <summary>The wind vectors of one exposure as one BLOB: counts, masks of reasons, vectors over places; zstd. Lossless but for the reasons' sentences, which are the catalogue's when read back.</summary>
internal static class WindVectorVectors
{
    private const byte Version = 2;
    private const int NumbersPerVector = 10;

    public static byte[] Encode(StoredWindVectors stored)
    {
        var writer = new ByteWriter();
        writer.Byte(Version);
        writer.Unsigned((ulong)stored.Vectors.Count);
        foreach (var v in stored.Vectors)
        {
            writer.Signed(v.Time.TaiNanoseconds - stored.ExposureTime.TaiNanoseconds);
            writer.Signed(v.FirstExposure - stored.Exposure);
            writer.Unsigned((ulong)v.Row);
            writer.Byte((byte)v.Quality);
            writer.Unsigned(WindReasonCatalog.Mask(v.Reasons, WindQuality.Good));
            writer.Unsigned(WindReasonCatalog.Mask(v.Reasons, WindQuality.Doubtful));
            writer.Unsigned(WindReasonCatalog.Mask(v.Reasons, WindQuality.Bad));
        }
        for (var k = 0; k < NumbersPerVector; k++) writer.Numbers([.. stored.Vectors.Select(v => Number(v, k))]);
        return Zstd.Frame(writer.ToArray());
    }

    public static IReadOnlyList<WindVector> Decode(ReadOnlySpan<byte> framed, string line, long exposure, Instant exposureTime)
    {
        var reader = new ByteReader(Zstd.Unframe(framed));
        var version = reader.Byte();
        if (version != Version) throw StorageErrors.BlobDamaged("set of wind vectors", $"version {version}; expected {Version}");
        var count = checked((int)reader.Unsigned());
        var places = new (Instant Time, long First, int Row, WindQuality Quality, IReadOnlyList<WindQualityReason> Reasons)[count];
        for (var i = 0; i < count; i++)
        {
            var time = new Instant(exposureTime.TaiNanoseconds + reader.Signed());
            var first = exposure + reader.Signed();
            var row = checked((int)reader.Unsigned());
            var quality = (WindQuality)reader.Byte();
            ulong notes = reader.Unsigned(), doubtful = reader.Unsigned();
            places[i] = (time, first, row, quality, WindReasonCatalog.Reasons(notes, doubtful, reader.Unsigned()));
        }
        var n = new double[NumbersPerVector][];
        for (var k = 0; k < NumbersPerVector; k++) n[k] = reader.Numbers(count);
        return [.. places.Select((p, i) => new WindVector
        {
            Time = p.Time,
            Line = line,
            FirstExposure = p.First,
            SecondExposure = exposure,
            Row = p.Row,
            LatitudeRad = n[0][i],
            LongitudeRad = n[1][i],
            AltitudeKm = n[2][i],
            SecondsBetweenLooks = n[3][i],
            SeparationKm = n[4][i],
            EastwardMs = n[5][i],
            NorthwardMs = n[6][i],
            EastwardSigmaMs = n[7][i],
            NorthwardSigmaMs = n[8][i],
            CovarianceM2S2 = n[9][i],
            Quality = p.Quality,
            Reasons = p.Reasons,
        })];
    }

    private static double Number(WindVector v, int k) => k switch
    {
        0 => v.LatitudeRad,
        1 => v.LongitudeRad,
        2 => v.AltitudeKm,
        3 => v.SecondsBetweenLooks,
        4 => v.SeparationKm,
        5 => v.EastwardMs,
        6 => v.NorthwardMs,
        7 => v.EastwardSigmaMs,
        8 => v.NorthwardSigmaMs,
        _ => v.CovarianceM2S2,
    };
}
