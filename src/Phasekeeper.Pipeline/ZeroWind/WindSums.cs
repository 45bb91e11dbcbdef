using System.Buffers.Binary;
using System.Security.Cryptography;
using System.Text;
using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Winds;
using Phasekeeper.Core.ZeroWind;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.ZeroWind;

/// <summary>Stored winds of an orbit as the zero wind takes them.</summary>
internal static class WindSums
{
    /// <summary>An orbit's good winds, condensed; none where the orbit's motion is not known.</summary>
    public static OrbitWindSums Of(OrbitSlot orbit, IReadOnlyList<StoredLosWind> winds, MissionState mission) =>
        OrbitWindSums.Of(orbit.Number, orbit.Start, winds.SelectMany(w => Samples(w.Profile, mission)));

    /// <summary>
    /// Fingerprint of the zero-wind phases of a set: winds that were corrected with others have another offset, so a window holds winds of one fingerprint. Other coefficients of a set may change within it.
    /// </summary>
    public static byte[] ZeroPhases(CoefficientSet set)
    {
        using var hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        Span<byte> number = stackalloc byte[8];
        foreach (var optics in set.Optics.OrderBy(o => o.View, StringComparer.Ordinal).ThenBy(o => o.Line, StringComparer.Ordinal))
        {
            hash.AppendData(Encoding.UTF8.GetBytes($"{optics.View};{optics.Line};"));
            foreach (var z in optics.ZeroWindRad)
            {
                BinaryPrimitives.WriteDoubleLittleEndian(number, z);
                hash.AppendData(number);
            }
        }
        return hash.GetHashAndReset();
    }

    private static IEnumerable<ZeroWindSample> Samples(LosWindProfile profile, MissionState mission)
    {
        if (!mission.Ephemerides.TryGetState(profile.Time, out var state, out _)) yield break;
        var sun = LocalSolarTime.SubsolarLongitudeRad(profile.Time);
        foreach (var w in profile.Rows)
            if (w.Quality == WindQuality.Good)
                yield return new(profile.Time, profile.View, profile.Line, w.LatitudeRad * (180 / Math.PI), LocalSolarTime.Hours(w.LongitudeRad, sun), w.AltitudeKm, w.AzimuthRad,
                    state.VelocityTemeMs.Z > 0, w.WindMs, w.SigmaMs);
    }
}
