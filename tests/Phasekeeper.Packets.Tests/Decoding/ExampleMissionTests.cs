using Phasekeeper.Core.Profile;
using Phasekeeper.Core.Time;
using Phasekeeper.Packets.Ccsds;
using Phasekeeper.Packets.Decoding;
using Phasekeeper.Tests;

namespace Phasekeeper.Packets.Tests.Decoding;

/// <summary>The example mission's packets (written by a simulator outside this project) by its own XTCE file.</summary>
public class ExampleMissionTests
{
    [SharedFolderFact("example-mission")]
    public void Every_packet_of_the_example_mission_decodes()
    {
        var folder = ReferenceFiles.SharedFolder("example-mission")!;
        var plan = Definitions.Compile(File.ReadAllText(Path.Combine(folder, "packets.xtce.xml")), Definitions.Cds("T_DAY", "T_MS", "T_US"), Definitions.Fringe);
        var bytes = File.ReadAllBytes(Path.Combine(folder, "packets", "part-000.pkt"));
        var framed = PacketFramer.Frame(bytes, plan.FramingRules);
        Assert.Empty(framed.Quarantine);
        Assert.Equal(bytes.Length, framed.Packets.Sum(p => p.Length));

        var values = plan.CreateValues();
        var times = new PacketTimeDecoder(plan, Instant.FromUtc(1990, 1, 1), Instant.FromUtc(2100, 1, 1));
        var rows = new FringeRowReader(plan, null);
        var seen = new HashSet<FringeRow>();
        foreach (var packet in framed.Packets)
        {
            Assert.True(plan.TryDecode(bytes.AsSpan(packet.Offset, packet.Length), values), values.Refusal?.Reason);
            Assert.True(times.TryRead(values, out _, out var refusal), refusal?.Reason);
            if (!values.Container!.IsFringe)
            {
                var temperature = values.Value(plan.Find("IFO_T1")!.Slot);
                Assert.InRange(temperature, -40, 60);
                continue;
            }
            Assert.True(rows.TryRead(values, out var row, out refusal), refusal?.Reason);
            Assert.Equal(256, values.Samples.Length);
            Assert.True(seen.Add(row), $"Row {row} twice.");
        }
        Assert.Equal(["IFO_T1", "OB_T1", "DET_T1", "BUS_V", "MODE"], plan.Channels.Where(c => !c.IsTimeField).Select(c => c.Name).ToArray());
    }
}
