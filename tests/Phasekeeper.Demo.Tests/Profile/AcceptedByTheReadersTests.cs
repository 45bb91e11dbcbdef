using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Input;
using Phasekeeper.Core.Limb;
using Phasekeeper.Core.Orbits.Files;
using Phasekeeper.Core.Profile;
using Phasekeeper.Demo.ForwardModel;
using Phasekeeper.Demo.Scenario;
using Phasekeeper.Demo.Telemetry;
using Phasekeeper.Packets.Ccsds;
using Phasekeeper.Packets.Decoding;

namespace Phasekeeper.Demo.Tests.Profile;

/// <summary>What the demo writes, read by the product's own readers: profile, coefficients, definition, packets and fringes.</summary>
public sealed class AcceptedByTheReadersTests : IDisposable
{
    private readonly string folder = Directory.CreateTempSubdirectory("demo-read").FullName;
    private readonly MissionProfile profile;
    private readonly CoefficientSet coefficients;
    private readonly DecodingPlan plan;

    public AcceptedByTheReadersTests()
    {
        Generators.Quiet.WriteProfile(folder, Generators.Quiet.Scenario.At(1));
        var errors = new List<InputError>();
        var read = MissionProfileReader.Read(Text("profile.json"), "profile.json", errors);
        Assert.Empty(errors);
        profile = read!;
        var set = CoefficientSetReader.Read(Text("coefficients.json"), "coefficients.json", profile.Instrument!, Text, errors);
        Assert.Empty(errors);
        coefficients = set!;
        Assert.True(DecodingPlan.TryCompile(Text("packets.xtce.xml"), profile.Packets, profile.Fringe, out var compiled, out var mistakes), string.Join("\n", mistakes));
        plan = compiled!;
    }

    public void Dispose() => Directory.Delete(folder, recursive: true);

    [Fact]
    public void Every_packet_of_a_quiet_hour_decodes_to_the_values_that_were_written_and_no_alarm()
    {
        var bytes = Generators.Quiet.PacketsFor(Generators.Quiet.Scenario.At(50), Generators.Quiet.Scenario.At(51));
        var framed = PacketFramer.Frame(bytes, plan.FramingRules);
        Assert.Empty(framed.Quarantine);
        var mine = PacketFile.Read(bytes);
        Assert.Equal(mine.Count, framed.Packets.Count);
        var values = plan.CreateValues();
        var rows = new FringeRowReader(plan, profile.Instrument);
        foreach (var (packet, own) in framed.Packets.Zip(mine))
        {
            Assert.True(plan.TryDecode(bytes.AsSpan(packet.Offset, packet.Length), values), values.Refusal?.Reason);
            if (own.Apid == HousekeepingChannels.FringeApid)
            {
                Assert.True(rows.TryRead(values, out var row, out var refusal), refusal?.Reason);
                Assert.Equal((own.Exposure, own.Kind, own.Row), (row.Exposure, (int)row.Kind, row.Row));
                Assert.Equal(own.Sample(77), values.Samples[77]);
                continue;
            }
            foreach (var channel in HousekeepingChannels.Packets.Single(p => p.Apid == own.Apid).Channels)
            {
                var slot = plan.Find(channel.Name)!.Slot;
                if (channel.Labels is { } labels) Assert.Equal(labels[(int)own.Channel(channel.Name)], values.Label(slot));
                else Assert.Equal(own.Channel(channel.Name), values.Value(slot), 1e-9);
                Assert.True(values.Alarm(slot) == default, $"{channel.Name} alarms with {values.Alarm(slot)}");
            }
        }
    }

    [Fact]
    public void The_orbit_file_gives_back_the_orbit_to_a_millimetre()
    {
        var oem = OemFile.Read("orbit.oem", Text("orbit.oem")).Value;
        for (var h = -3.0; h < 1; h += 0.0137)
        {
            var time = Generators.Quiet.Scenario.At(h);
            Assert.True(oem.TryGetState(time, out var state));
            var truth = Generators.Quiet.Orbit.StateAt(time);
            Assert.InRange((state.PositionTemeM - truth.PositionTemeM).Length, 0, 0.001);
            Assert.InRange((state.VelocityTemeMs - truth.VelocityTemeMs).Length, 0, 1e-5);
        }
    }

    [Fact]
    public void Damaged_packets_go_to_quarantine_and_the_others_decode()
    {
        var e = DemoScenario.Default.Events.Single(e => e.Name == "corrupted-packets");
        var bytes = Generators.Eventful.PacketsFor(DemoScenario.Default.At(e.StartHours), DemoScenario.Default.At(e.StartHours + 0.4));
        var sent = Generators.Quiet.Packets(e.StartHours, e.StartHours + 0.4).Count;
        var framed = PacketFramer.Frame(bytes, plan.FramingRules);
        Assert.InRange(1 - (double)framed.Packets.Count / sent, 0.035, 0.075);
        Assert.NotEmpty(framed.Quarantine);
    }

    [Fact]
    public void Retrieved_phases_agree_with_what_was_put_in_within_their_uncertainty()
    {
        var g = Generators.Quiet;
        var (from, to) = (g.Scenario.At(52), g.Scenario.At(52.6));
        using var text = new StringWriter();
        g.WriteTruth(text, from, to);
        var truth = text.ToString().Split('\n').Skip(1).Where(l => l.Length > 0).Select(l => l.Split(','))
            .ToDictionary(f => (long.Parse(f[0]), f[1], f[2], int.Parse(f[3])), f => (Motion: double.Parse(f[7]), Phase: double.Parse(f[8])));
        var errors = new List<double>();
        foreach (var frame in g.Packets(52, 52.6).Where(p => p.Apid == HousekeepingChannels.FringeApid && p.Kind == 0).GroupBy(p => (p.Exposure, p.Optics)))
        {
            var optics = g.Instrument.Optics[frame.Key.Optics];
            var time = frame.First().Time;
            var look = new LookGeometry(time, g.Orbit.StateAt(time));
            var motion = profile.Instrument!.RowDepressionDeg.Select(d => look.Look(optics.View.AzimuthDeg, d).MotionMs).ToArray();
            var result = new FringeRetrieval(profile.Instrument, coefficients, optics.View.Id, optics.Line.Id).Retrieve(new FringeFrame
            {
                Exposure = frame.Key.Exposure,
                Kind = ExposureKind.Scene,
                View = optics.View.Id,
                Line = optics.Line.Id,
                Time = time,
                IntegrationS = 20,
                Rows = frame.OrderBy(p => p.Row).Select(p => Enumerable.Range(0, Tern.Samples).Select(i => (ushort)p.Sample(i)).ToArray()).ToArray(),
            }, g.Thermal.At(time).DetectorC, motion, coefficients.ImageShiftOf(optics.View.Id).ShiftAt(g.Thermal.At(time).BenchC));
            for (var row = 0; row < Tern.Rows; row++)
            {
                var t = truth[(frame.Key.Exposure, optics.View.Id, optics.Line.Id, row)];
                Assert.Equal(t.Motion, motion[row], 0.01);
                if (result.Status[row] != RowStatus.Ok || result.PhaseSigmaRad[row] > 0.3) continue;
                errors.Add(Math.IEEERemainder(result.PhaseRad[row] - t.Phase, 2 * Math.PI) / result.PhaseSigmaRad[row]);
            }
        }
        Assert.True(errors.Count > 700, $"{errors.Count} rows");
        var rms = Math.Sqrt(errors.Average(x => x * x));
        Assert.True(rms is > 0.85 and < 1.2, $"error/sigma: rms {rms:F3}, mean {errors.Average():F3}, {errors.Count} rows");
        Assert.InRange(errors.Average(), -0.2, 0.2);
    }

    private string Text(string name) => File.ReadAllText(Path.Combine(folder, name));
}
