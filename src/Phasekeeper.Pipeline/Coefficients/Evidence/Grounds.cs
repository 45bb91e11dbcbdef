using System.Buffers.Binary;
using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Coefficients.Evidence;
using Phasekeeper.Core.Thermal;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Pipeline.Winds;
using Phasekeeper.Pipeline.ZeroWind;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Coefficients.Evidence;

/// <summary>
/// Fingerprints of what evidence and fits rest on. An orbit's holds its limits and, from where its temperatures begin to count to the end of the last orbit whose lamps it uses (<see cref="OrbitInput"/>), the coverage of
/// every hour, the attitude files and the planned activities. An hour that was still being filled when the ground was laid is compared by the rows of the fringes that the orbit uses of it: what comes behind
/// them in order has moved nothing. Sets and decisions are left out: reprocessing changes products, not what is known.
/// </summary>
internal static class Grounds
{
    // Chosen: 64 bit tell some thousands of orbits apart.
    private const int FingerprintBytes = 8;

    // To be raised when a fingerprint is of other things than before.
    private const string Form = "ground/2";

    /// <summary>Versions that evidence depends on.</summary>
    public static string Versions { get; } = string.Join(' ', SoftwareVersion.Current, RowsDigest.RetrievalVersion, TrackerVersionMarks.Version, WindDigest.WindVersion, WindDigest.VectorVersion, ZeroWindVersionMarks.Version, Form);

    /// <summary>How far before the orbits whose lamps are used temperatures count for either set, s: as <see cref="OrbitInputReader"/> reads them.</summary>
    public static double LookBackS(params ReadOnlySpan<CoefficientSet> sets)
    {
        var longest = 0.0;
        foreach (var set in sets)
            foreach (var optics in set.Optics) longest = Math.Max(longest, optics.Thermal.LagS);
        return LaggedTemperature.LookBackLags * ThermalLagTracker.SearchFactor * longest + TemperatureLookup.LongestGapS;
    }

    /// <summary>The ground as it is. <paramref name="lookBackS"/>: see <see cref="LookBackS"/>.</summary>
    public static EvidenceGround Of(IEnumerable<OrbitSlot> orbits, Instant from, int? orbit, long against, double lookBackS, MissionState mission, Stores stores)
    {
        var ground = new EvidenceGround
        {
            From = from,
            Orbit = orbit,
            Against = against,
            Orbits = [],
            Versions = Versions,
            Rules = RulesOf(mission),
            LookBackS = lookBackS,
            Until = stores.Archive.LastPacketTime ?? Instant.MinValue,
        };
        return ground with { Orbits = Fingerprints([.. orbits], ground, mission, stores) };
    }

    /// <summary>What has become of a ground. <paramref name="wouldLookAt"/>: orbits that would be looked at now.</summary>
    public static GroundMove Since(EvidenceGround ground, IEnumerable<OrbitSlot> wouldLookAt, MissionState mission, Stores stores)
    {
        var now = Fingerprints([.. ground.Orbits.Select(o => mission.Orbits.Of(o.Orbit)).OfType<OrbitSlot>()], ground, mission, stores);
        var known = now.ToDictionary(o => o.Orbit, o => o.Fingerprint);
        var looked = ground.Orbits.Select(o => o.Orbit).ToHashSet();
        var rules = RulesOf(mission);
        return new(looked.Count, [.. ground.Orbits.Where(o => known.GetValueOrDefault(o.Orbit) != o.Fingerprint).Select(o => o.Orbit)], wouldLookAt.Count(o => !looked.Contains(o.Number)),
            ground.Versions != Versions, Name(ground.Orbits, ground.Versions, ground.Rules), Name(now, Versions, rules), ground.Rules != rules);
    }

    // Of every rule that runs: what decides its outcome.
    private static string RulesOf(MissionState mission) => Short(SHA256.HashData(Encoding.UTF8.GetBytes(string.Join('\n', mission.Rules.Enabled.OrderBy(r => r.Id, StringComparer.Ordinal).Select(r => $"{r.Id} {r.VersionText}")))));

    private static List<GroundOrbit> Fingerprints(IReadOnlyList<OrbitSlot> orbits, EvidenceGround ground, MissionState mission, Stores stores)
    {
        if (orbits.Count == 0) return [];
        var reaches = orbits.Select(o => (Orbit: o, From: o.Start.AddSeconds(-OrbitInput.ReachOrbits * (o.End - o.Start) - ground.LookBackS), To: o.End.AddSeconds(OrbitInput.ReachOrbits * (o.End - o.Start)))).ToArray();
        var coverage = stores.Streams.OfHours(Hour.Of(reaches.Min(r => r.From)), Hour.Of(reaches.Max(r => r.To))).ToLookup(c => c.Hour);
        return [.. reaches.Select(r => new GroundOrbit(r.Orbit.Number, Fingerprint(r.Orbit, r.From, r.To, ground.Until, coverage, mission, stores)))];
    }

    private static string Fingerprint(OrbitSlot orbit, Instant from, Instant to, Instant until, ILookup<long, CoverageRow> coverage, MissionState mission, Stores stores)
    {
        using var hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        Span<byte> number = stackalloc byte[sizeof(long)];
        Add(orbit.Start.TaiNanoseconds, number);
        Add(orbit.End.TaiNanoseconds, number);
        for (var hour = Hour.Of(from); Hour.Start(hour) < to; hour++)
        {
            if (Hour.End(hour) > until)
            {
                foreach (var fringe in stores.Fringes.Read(Hour.Start(hour) < from ? from : Hour.Start(hour), to < Hour.End(hour) ? to : Hour.End(hour))) hash.AppendData(fringe.RowsHash);
                continue;
            }
            foreach (var row in coverage[hour])
                foreach (var value in (ReadOnlySpan<long>)[row.Hour, row.Apid, row.Count, row.FirstTime.TaiNanoseconds, row.LastTime.TaiNanoseconds, row.FirstSequence, row.LastSequence]) Add(value, number);
        }
        foreach (var file in mission.Attitudes.Over(from, to)) hash.AppendData(Encoding.ASCII.GetBytes(file));
        foreach (var activity in mission.Activities.Where(a => a.EffectsFrom < to && a.EffectsTo >= from).OrderBy(a => a.From).ThenBy(a => a.Id, StringComparer.Ordinal))
            hash.AppendData(Encoding.UTF8.GetBytes(string.Create(CultureInfo.InvariantCulture, $"{activity.Id} {activity.Kind.Id} {activity.Kind.Winds} {activity.EffectsFrom.TaiNanoseconds} {activity.EffectsTo.TaiNanoseconds}\n")));
        return Short(hash.GetHashAndReset());

        void Add(long value, Span<byte> bytes)
        {
            BinaryPrimitives.WriteInt64LittleEndian(bytes, value);
            hash.AppendData(bytes);
        }
    }

    private static string Name(IEnumerable<GroundOrbit> orbits, string versions, string rules) => Short(SHA256.HashData(Encoding.UTF8.GetBytes($"{versions} {rules}" + string.Concat(orbits.Select(o => $";{o.Orbit}:{o.Fingerprint}")))));

    private static string Short(byte[] hash) => Convert.ToHexStringLower(hash.AsSpan(0, FingerprintBytes));
}
