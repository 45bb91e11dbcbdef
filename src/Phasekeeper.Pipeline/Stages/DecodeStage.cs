using Phasekeeper.Core.Profile;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Intake;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Stages;

/// <summary>
/// Packets of an hour → telemetry chunks, stream checks, claims of exposures; then marks the hour's fringes. Everything follows from the
/// set of packets that the archive holds for the hour.
/// </summary>
public sealed class DecodeStage(Stores stores, TimeProvider clock)
{
    // Temperatures of one hour are interpolated for exposures of the next within this distance of the edge.
    private const double EdgeS = TemperatureLookup.LongestGapS;

    /// <summary>Runs one item; gives the decoded hour, so that retrieval need not decode it again.</summary>
    public async Task<DecodedHour> RunAsync(WorkItem item, MissionState mission, HourDecoder decoder, CancellationToken cancel)
    {
        var hour = stores.Archive.ReadHour(item.Key);
        var decoded = decoder.Decode(item.Key, hour.Used);
        var chunks = decoded.Channels.Select(c => Chunk(c, mission.Profile)).ToArray();
        var coverage = hour.Used.GroupBy(p => p.Place.Apid).OrderBy(g => g.Key).Select(g => Coverage(item.Key, g)).ToArray();
        var events = hour.Used.GroupBy(p => p.Place.Apid).OrderBy(g => g.Key)
            .SelectMany(g => StreamChecks.Check(item.Key, g.Key, [.. g]))
            .Concat(hour.Conflicts.GroupBy(c => c.Winner.Place.Apid).OrderBy(g => g.Key).Select(g => Conflict(item.Key, g)))
            .ToArray();
        var neighbours = NeighboursTouched(item.Key, mission, decoded);
        var orbits = OrbitMarks.Of(ChangedStretches.Of(hour, stores.Streams.OfHour(item.Key)), mission, stores);
        var now = Now();
        await stores.Database.WriteAsync(t =>
        {
            TelemetryStore.ReplaceHour(t, item.Key, chunks);
            StreamStore.ReplaceHour(t, item.Key, coverage, events);
            ExposureClaimStore.ReplaceHour(t, item.Key, decoded.Rows.Select(r => (r.Row.Exposure, r.Row.Kind)));
            foreach (var bad in decoded.Undecoded)
                QuarantineStore.Add(t, new QuarantineEntry(PacketSorter.NameOf(bad.Refusal.Kind), bad.Refusal.Reason, "archive", 0, bad.Packet.Bytes.Length, bad.Packet.Bytes), now, item.Key);
            WorkQueue.Mark(t, WorkKinds.Retrieve, item.Key, now, WorkKinds.RowsChanged);
            WorkQueue.Mark(t, WorkKinds.Retrieve, neighbours, now);
            orbits.Write(t, now);
            WorkQueue.Clear(t, item);
        }, cancel).ConfigureAwait(false);
        return decoded;
    }

    /// <summary>A channel's decoded samples as the store takes them.</summary>
    public static ChannelChunk Chunk(CollectedChannel collected, MissionProfile profile)
    {
        var parameter = collected.Channel.Parameter;
        var times = collected.Times.Select(t => t.TaiNanoseconds).ToArray();
        var channel = new TelemetryChannel(parameter.Name, parameter.Unit, parameter.Description ?? "", profile.RoleOf(parameter.Name));
        if (parameter.Labels is not { } labels)
            return new(channel, ChannelSamples.Real(times, [.. collected.Values]), collected.Calibrator is { } calibrator ? new RawCounts([.. collected.Raw], calibrator) : null);
        var whole = collected.Values.Select(v => (long)v).ToArray();
        var named = whole.Distinct().Order().Select(v => (Value: v, Label: labels.IndexOf(v) is >= 0 and var i ? labels.Labels[i] : null)).Where(p => p.Label is not null).ToDictionary(p => p.Value, p => p.Label!);
        return new(channel, ChannelSamples.Whole(times, whole, named));
    }

    private static CoverageRow Coverage(long hour, IGrouping<int, ArchivedPacket> packets)
    {
        var (first, last) = (packets.First(), packets.Last());
        return new CoverageRow
        {
            Hour = hour,
            Apid = packets.Key,
            Count = packets.Count(),
            FirstTime = first.Time,
            LastTime = last.Time,
            FirstSequence = first.Place.SequenceCount,
            LastSequence = last.Place.SequenceCount,
        };
    }

    private static StreamEventRow Conflict(long hour, IGrouping<int, PacketConflict> conflicts) => new()
    {
        Hour = hour,
        Kind = StreamStore.Conflict,
        Apid = conflicts.Key,
        From = conflicts.Min(c => c.Loser.Time),
        To = conflicts.Max(c => c.Loser.Time),
        Amount = conflicts.Count(),
        Detail = $"{conflicts.Count()} packets of APID {conflicts.Key} claim places that others with different bytes hold; the smaller SHA-256 is used.",
    };

    // Hours whose exposures near the common edge now see other temperatures.
    private IEnumerable<long> NeighboursTouched(long hour, MissionState mission, DecodedHour decoded)
    {
        if (mission.Instrument is null) yield break;
        var (start, end) = (Hour.Start(hour), Hour.End(hour));
        foreach (var name in mission.RoleChannels)
        {
            var fresh = decoded.Channels.FirstOrDefault(c => c.Channel.Name == name);
            if (EdgeChanged(name, fresh, start, start.AddSeconds(EdgeS))) yield return hour - 1;
            if (EdgeChanged(name, fresh, end.AddSeconds(-EdgeS), end)) yield return hour + 1;
        }
    }

    private bool EdgeChanged(string name, CollectedChannel? fresh, Instant from, Instant to)
    {
        var old = stores.Telemetry.Read(name, from, to);
        var now = fresh is null ? [] : fresh.Times.Zip(fresh.Values).Where(s => s.First >= from && s.First < to).ToArray();
        return old.Count != now.Length
            || Enumerable.Range(0, now.Length).Any(i => old.TaiNanoseconds[i] != now[i].First.TaiNanoseconds || BitConverter.DoubleToInt64Bits(old.Values[i]) != BitConverter.DoubleToInt64Bits(now[i].Second));
    }

    private Instant Now() => Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);
}
