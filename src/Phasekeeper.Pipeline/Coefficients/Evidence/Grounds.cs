using System.Buffers.Binary;
using System.Security.Cryptography;
using System.Text;
using Phasekeeper.Core.Coefficients.Evidence;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Pipeline.Winds;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Coefficients.Evidence;

/// <summary>
/// Fingerprints of what evidence and fits rest on. An orbit's holds its limits and the coverage of every whole hour from the start of the orbit before it to the end of the one behind it: drift reads neighbours, and an
/// hour that reaches further is still being filled while these are complete. Sets and decisions are left out: reprocessing changes products, not what is known.
/// </summary>
internal static class Grounds
{
    // Chosen: 64 bit tell some thousands of orbits apart.
    private const int FingerprintBytes = 8;

    /// <summary>Versions that evidence depends on.</summary>
    public static string Versions { get; } = string.Join(' ', SoftwareVersion.Current, RowsDigest.RetrievalVersion, TrackerVersionMarks.Version, WindDigest.WindVersion, WindDigest.VectorVersion);

    /// <summary>The ground as it is.</summary>
    public static EvidenceGround Of(IEnumerable<OrbitSlot> orbits, Instant from, int? orbit, long against, MissionState mission, Stores stores) => new()
    {
        From = from,
        Orbit = orbit,
        Against = against,
        Orbits = Fingerprints([.. orbits], mission, stores),
        Versions = Versions,
    };

    /// <summary>What has become of a ground. <paramref name="wouldLookAt"/>: orbits that would be looked at now.</summary>
    public static GroundMove Since(EvidenceGround ground, IEnumerable<OrbitSlot> wouldLookAt, MissionState mission, Stores stores)
    {
        var now = Fingerprints([.. ground.Orbits.Select(o => mission.Orbits.Of(o.Orbit)).OfType<OrbitSlot>()], mission, stores);
        var known = now.ToDictionary(o => o.Orbit, o => o.Fingerprint);
        var looked = ground.Orbits.Select(o => o.Orbit).ToHashSet();
        return new(looked.Count, [.. ground.Orbits.Where(o => known.GetValueOrDefault(o.Orbit) != o.Fingerprint).Select(o => o.Orbit)], wouldLookAt.Count(o => !looked.Contains(o.Number)),
            ground.Versions != Versions, Name(ground.Orbits, ground.Versions), Name(now, Versions));
    }

    private static List<GroundOrbit> Fingerprints(IReadOnlyList<OrbitSlot> orbits, MissionState mission, Stores stores)
    {
        if (orbits.Count == 0) return [];
        var reaches = orbits.Select(o => (Orbit: o, From: (mission.Orbits.Of(o.Number - 1) ?? o).Start, To: (mission.Orbits.Of(o.Number + 1) ?? o).End)).ToArray();
        var coverage = stores.Streams.OfHours(Hour.Of(reaches.Min(r => r.From)), Hour.Of(reaches.Max(r => r.To))).ToLookup(c => c.Hour);
        return [.. reaches.Select(r => new GroundOrbit(r.Orbit.Number, Fingerprint(r.Orbit, r.From, r.To, coverage)))];
    }

    private static string Fingerprint(OrbitSlot orbit, Instant from, Instant to, ILookup<long, CoverageRow> coverage)
    {
        using var hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        Span<byte> number = stackalloc byte[sizeof(long)];
        Add(orbit.Start.TaiNanoseconds, number);
        Add(orbit.End.TaiNanoseconds, number);
        for (var hour = Hour.Of(from); Hour.End(hour) <= to; hour++)
        {
            if (Hour.Start(hour) < from) continue;
            foreach (var row in coverage[hour])
                foreach (var value in (ReadOnlySpan<long>)[row.Hour, row.Apid, row.Count, row.FirstTime.TaiNanoseconds, row.LastTime.TaiNanoseconds, row.FirstSequence, row.LastSequence]) Add(value, number);
        }
        return Convert.ToHexStringLower(hash.GetHashAndReset().AsSpan(0, FingerprintBytes));

        void Add(long value, Span<byte> bytes)
        {
            BinaryPrimitives.WriteInt64LittleEndian(bytes, value);
            hash.AppendData(bytes);
        }
    }

    private static string Name(IEnumerable<GroundOrbit> orbits, string versions) => Convert.ToHexStringLower(
        SHA256.HashData(Encoding.UTF8.GetBytes(versions + string.Concat(orbits.Select(o => $";{o.Orbit}:{o.Fingerprint}")))).AsSpan(0, FingerprintBytes));
}
