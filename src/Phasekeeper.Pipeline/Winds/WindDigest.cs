using System.Buffers.Binary;
using System.Security.Cryptography;
using System.Text;
using Phasekeeper.Core.Geometry;

namespace Phasekeeper.Pipeline.Winds;

/// <summary>Fingerprints of everything that winds are made from: a result is kept as long as its fingerprint holds.</summary>
internal static class WindDigest
{
    /// <summary>
    /// To be raised whenever a line-of-sight wind may come out otherwise from the same inputs, in any stored number, reason or bit: another algorithm or option (Core/Winds, Core/Limb), another order of
    /// sums, a constant, a limit of quality, another rounding. A start with another version than the store's makes all winds again (<see cref="WindVersionMarks"/>).
    /// </summary>
    public const string WindVersion = "winds/6";

    /// <summary>To be raised whenever a wind vector may come out otherwise from the same stored winds (the matcher, its options, its rounding).</summary>
    public const string VectorVersion = "vectors/2";

    private static readonly byte[] NoNeighbour = new byte[SHA256.HashSizeInBytes];

    /// <summary>Fingerprint of one scene's own inputs.</summary>
    public static byte[] OfScene(WindScene scene)
    {
        using var hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        hash.AppendData(scene.Fringe.InputHash);
        if (scene.Drift is { } drift)
            Append(hash, drift.DriftRad, drift.SigmaRad, drift.ShiftCovarianceRadSamples, (double)drift.Source, drift.NearGap ? 1 : 0);
        Append(hash, scene.Shift.ShiftSamples, scene.Shift.SigmaSamples, scene.Shift.Measured ? 1 : 0);
        Append(hash, scene.EphemerisSigmaMs, scene.Instrument.ZeroWindSigmaMs, scene.Instrument.AttitudeSigmaDeg.Yaw, scene.Instrument.AttitudeSigmaDeg.Pitch, scene.Instrument.AttitudeSigmaDeg.Roll);
        Append(hash, scene.Looks.VelocityEcefAxesMs);
        var looks = scene.Looks.Looks[scene.View];
        if (looks.Length > 0) Append(hash, looks[0].SatelliteEcefM);
        foreach (var look in looks) Append(hash, look.DirectionEcef);
        foreach (var reason in scene.Reasons) hash.AppendData(Encoding.UTF8.GetBytes(reason.Word + ";"));
        return hash.GetHashAndReset();
    }

    /// <summary>Fingerprint of a wind: of its scene and the scenes before and after it, null where there is none near.</summary>
    public static byte[] OfWind(byte[]? before, byte[] here, byte[]? after)
    {
        using var hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        hash.AppendData(Encoding.ASCII.GetBytes(WindVersion));
        foreach (var part in new[] { before ?? NoNeighbour, here, after ?? NoNeighbour }) hash.AppendData(part);
        return hash.GetHashAndReset();
    }

    /// <summary>Fingerprint of the vectors at an exposure: of its winds and those of the other view within reach.</summary>
    public static byte[] OfVectors(byte[] place, IEnumerable<byte[]> others)
    {
        using var hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        hash.AppendData(Encoding.ASCII.GetBytes(VectorVersion));
        hash.AppendData(place);
        foreach (var other in others) hash.AppendData(other);
        return hash.GetHashAndReset();
    }

    private static void Append(IncrementalHash hash, Vec3 v) => Append(hash, v.X, v.Y, v.Z);

    private static void Append(IncrementalHash hash, params ReadOnlySpan<double> values)
    {
        Span<byte> number = stackalloc byte[8];
        foreach (var value in values)
        {
            BinaryPrimitives.WriteDoubleLittleEndian(number, value);
            hash.AppendData(number);
        }
    }
}
