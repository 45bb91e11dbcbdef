using System.Buffers.Binary;
using Phasekeeper.Core.Time;
using Phasekeeper.Demo.Atmosphere;
using Phasekeeper.Demo.Environment;
using Phasekeeper.Demo.ForwardModel;
using Phasekeeper.Demo.Profile;
using Phasekeeper.Demo.Telemetry;
using Phasekeeper.Demo.Truth;

namespace Phasekeeper.Demo.Scenario;

/// <summary>
/// Makes the telemetry of a scenario: the same seed and events give the same bytes, any stretch of time can be asked for by itself
/// and in any order, and what two stretches give one after the other is what the whole gives. Safe for several threads.
/// </summary>
public sealed class ScenarioGenerator
{
    /// <summary>Housekeeping begins this long before the first exposure, so that thermal lags are settled, s.</summary>
    public const double HousekeepingLeadS = 3 * 3600;

    private const int FringeLength = PacketBuilder.HeaderBytes + 12 + 2 * Tern.Samples + PacketBuilder.TrailerBytes;
    private const int PacketsPerExposure = 4 * Tern.Rows;

    private readonly EventTimeline timeline;
    private readonly PacketDamage damage;
    private readonly ExposureSynthesizer exposures;
    private readonly HousekeepingSynthesizer housekeeping;

    /// <summary>Generator of a scenario.</summary>
    /// <param name="scenario">The scenario.</param>
    /// <param name="seed">Seed; null = the scenario's own.</param>
    /// <param name="events">Events to inject; null = all of the scenario.</param>
    public ScenarioGenerator(DemoScenario scenario, ulong? seed = null, IReadOnlyList<ScenarioEvent>? events = null)
    {
        Scenario = scenario;
        Seed = seed ?? scenario.Seed;
        Events = events ?? scenario.Events;
        timeline = new EventTimeline(scenario.Start, Events);
        damage = new PacketDamage(Seed, timeline);
        Orbit = new CircularOrbit(scenario.Start);
        Instrument = new Tern(Seed);
        Thermal = new ThermalTruth(scenario.Start, Orbit, timeline, Seed);
        State = new InstrumentState(scenario, Seed, Instrument, Thermal, timeline);
        Schedule = new ExposureSchedule(scenario.Start);
        exposures = new ExposureSynthesizer(Seed, Instrument, Orbit, State, new WindField(Seed), new Airglow(Seed));
        housekeeping = new HousekeepingSynthesizer(FirstPacket, Seed, Orbit, Thermal, timeline, Schedule, State);
    }

    /// <summary>The scenario.</summary>
    public DemoScenario Scenario { get; }
    /// <summary>The seed in use.</summary>
    public ulong Seed { get; }
    /// <summary>The events that are injected.</summary>
    public IReadOnlyList<ScenarioEvent> Events { get; }
    /// <summary>Where the satellite is.</summary>
    public CircularOrbit Orbit { get; }
    /// <summary>The instrument as built.</summary>
    public Tern Instrument { get; }
    /// <summary>Its temperatures.</summary>
    public ThermalTruth Thermal { get; }
    /// <summary>Its drifts.</summary>
    public InstrumentState State { get; }
    /// <summary>When it exposes.</summary>
    public ExposureSchedule Schedule { get; }
    /// <summary>Time of the first housekeeping packet.</summary>
    public Instant FirstPacket => Scenario.Start.AddSeconds(-HousekeepingLeadS);

    /// <summary>
    /// The packets measured in [<paramref name="from"/>, <paramref name="to"/>), in the order of time (APID within one time), as they
    /// come down: without those of lost downlinks, with damage and with the clock's errors (the window counts true time).
    /// </summary>
    /// <param name="from">First moment.</param>
    /// <param name="to">End, exclusive.</param>
    /// <param name="maxDegree">Threads to use; the bytes do not depend on it.</param>
    public byte[] PacketsFor(Instant from, Instant to, int maxDegree = 1) => Make(from, to, maxDegree, late: null);

    /// <summary>Downlinks that arrive late: the event and when its packets arrive.</summary>
    public IEnumerable<(ScenarioEvent Event, Instant Delivered)> LateDownlinks =>
        Events.Where(e => e is { Kind: ScenarioEventKind.LostDownlink, DeliveredHours: not null }).Select(e => (e, Scenario.At(e.DeliveredHours!.Value)));

    /// <summary>The packets of a downlink that arrives late.</summary>
    public byte[] LatePackets(ScenarioEvent downlink, int maxDegree = 1) =>
        Make(Scenario.At(downlink.StartHours), Scenario.At(downlink.EndHours), maxDegree, downlink);

    /// <summary>Writes the mission profile folder (contract.md section 2).</summary>
    /// <param name="folder">Folder; created if absent.</param>
    /// <param name="orbitEnd">How far the orbit file reaches; null = 30 days after the scenario's first "now".</param>
    public void WriteProfile(string folder, Instant? orbitEnd = null) => new ProfileWriter(this).Write(folder, orbitEnd);

    /// <summary>Writes what was put in: a line per scene row (see <see cref="TruthWriter"/>) with exposure middles in [from, to).</summary>
    public void WriteTruth(TextWriter to, Instant from, Instant end, int maxDegree = 1) => new TruthWriter(this, exposures).WriteScenes(to, from, end, maxDegree);

    /// <summary>Winds as ground stations measured them in [from, end): a file that Phasekeeper imports to compare with.</summary>
    public string StationWinds(Instant from, Instant end) => new StationWinds(new WindField(Seed), Seed, Scenario.Start).Write(from, end);

    /// <summary>Writes the drifts that were put in: a line per lamp exposure and view with its middle in [from, to).</summary>
    public void WriteDriftTruth(TextWriter to, Instant from, Instant end) => new TruthWriter(this, exposures).WriteDrift(to, from, end);

    private byte[] Make(Instant from, Instant to, int maxDegree, ScenarioEvent? late)
    {
        var items = new List<(Instant Time, int Apid, long Number, int Kind)>();
        for (var k = 0; k < HousekeepingChannels.Packets.Count; k++)
        {
            var packet = HousekeepingChannels.Packets[k];
            var (first, end) = housekeeping.Numbers(packet, from, to);
            for (var n = first; n < end; n++) items.Add((housekeeping.TimeOf(packet, n), packet.Apid, n, k));
        }
        var taken = Schedule.Between(from, to);
        for (var i = 0; i < taken.Count; i++) items.Add((taken[i].Time, HousekeepingChannels.FringeApid, i, -1));
        items.RemoveAll(i => !ReferenceEquals(timeline.LostDownlinkAt(i.Time), late));
        items.Sort((a, b) => a.Time != b.Time ? a.Time.CompareTo(b.Time) : a.Apid.CompareTo(b.Apid));

        var rows = new byte[taken.Count][];
        void MakeExposure(int i) => rows[i] = timeline.LostDownlinkAt(taken[i].Time) == late ? ExposurePackets(taken[i]) : [];
        if (maxDegree > 1) Parallel.For(0, taken.Count, new ParallelOptions { MaxDegreeOfParallelism = maxDegree }, MakeExposure);
        else for (var i = 0; i < taken.Count; i++) MakeExposure(i);

        var stream = new MemoryStream(rows.Sum(r => r.Length) + items.Count * 80);
        foreach (var (time, _, number, kind) in items)
        {
            if (kind < 0) stream.Write(rows[number]);
            else Housekeeping(stream, HousekeepingChannels.Packets[kind], number, time);
        }
        return stream.ToArray();
    }

    private void Housekeeping(MemoryStream stream, HousekeepingPacket definition, long number, Instant time)
    {
        Span<byte> packet = stackalloc byte[definition.Length];
        housekeeping.Fill(definition, number, packet[PacketBuilder.HeaderBytes..^PacketBuilder.TrailerBytes]);
        PacketBuilder.Seal(packet, definition.Apid, number, Stamp(time));
        damage.Append(stream, packet, time, definition.Apid, number);
    }

    private byte[] ExposurePackets(Exposure exposure)
    {
        var stream = new MemoryStream(FringeLength * PacketsPerExposure);
        var packet = new byte[FringeLength];
        exposures.Expose(exposure, (optics, row, counts) =>
        {
            var data = packet.AsSpan(PacketBuilder.HeaderBytes);
            BinaryPrimitives.WriteUInt32BigEndian(data, (uint)exposure.Id);
            data[4] = (byte)exposure.Kind;
            data[5] = (byte)(optics.Index / 2);
            data[6] = (byte)(optics.Index % 2);
            data[7] = (byte)row;
            BinaryPrimitives.WriteUInt32BigEndian(data[8..], (uint)Math.Round(exposure.IntegrationS * 1000));
            for (var i = 0; i < counts.Length; i++) BinaryPrimitives.WriteUInt16BigEndian(data[(12 + 2 * i)..], counts[i]);
            var number = (exposure.Id - 1) * PacketsPerExposure + optics.Index * Tern.Rows + row;
            PacketBuilder.Seal(packet, HousekeepingChannels.FringeApid, number, Stamp(exposure.Time));
            damage.Append(stream, packet, exposure.Time, HousekeepingChannels.FringeApid, number);
        });
        return stream.ToArray();
    }

    // What the on-board clock says.
    private Instant Stamp(Instant time) => time.AddSeconds(timeline.Sum(ScenarioEventKind.ClockJump, time));
}
