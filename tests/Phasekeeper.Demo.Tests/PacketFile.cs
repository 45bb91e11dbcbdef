using System.Buffers.Binary;
using Phasekeeper.Core.Time;
using Phasekeeper.Demo.ForwardModel;
using Phasekeeper.Demo.Scenario;
using Phasekeeper.Demo.Telemetry;

namespace Phasekeeper.Demo.Tests;

/// <summary>A packet as the tests see it, read with a few lines of their own.</summary>
public sealed record TestPacket(int Apid, int Count, Instant Time, byte[] Bytes)
{
    /// <summary>Data between time and checksum.</summary>
    public ReadOnlySpan<byte> Data => Bytes.AsSpan(14, Bytes.Length - 16);
    /// <summary>True when the checksum fits (bit by bit, apart from the table that wrote it).</summary>
    public bool ChecksumFits
    {
        get
        {
            var crc = 0xFFFF;
            foreach (var b in Bytes)
                for (var bit = 7; bit >= 0; bit--)
                {
                    var feedback = ((crc >> 15) ^ (b >> bit)) & 1;
                    crc = (crc << 1) & 0xFFFF;
                    if (feedback != 0) crc ^= 0x1021;
                }
            return crc == 0;
        }
    }

    public long Exposure => BinaryPrimitives.ReadUInt32BigEndian(Data);
    public int Kind => Data[4];
    /// <summary>View · 2 + line.</summary>
    public int Optics => Data[5] * 2 + Data[6];
    public int Row => Data[7];
    public int Sample(int i) => BinaryPrimitives.ReadUInt16BigEndian(Data[(12 + 2 * i)..]);

    /// <summary>Engineering value of a channel of a housekeeping packet.</summary>
    public double Channel(string name)
    {
        var at = 0;
        foreach (var c in HousekeepingChannels.Packets.Single(p => p.Apid == Apid).Channels)
        {
            if (c.Name != name)
            {
                at += c.Bits / 8;
                continue;
            }
            double raw = c.Bits switch
            {
                8 => Data[at],
                16 when c.Signed => BinaryPrimitives.ReadInt16BigEndian(Data[at..]),
                16 => BinaryPrimitives.ReadUInt16BigEndian(Data[at..]),
                _ => BinaryPrimitives.ReadUInt32BigEndian(Data[at..]),
            };
            return c.Calibration?.ValueOf(raw) ?? raw;
        }
        throw new ArgumentException($"APID {Apid} has no channel {name}.");
    }
}

/// <summary>Reads whole files of sound packets.</summary>
public static class PacketFile
{
    public static List<TestPacket> Read(byte[] bytes)
    {
        var packets = new List<TestPacket>();
        for (var at = 0; at < bytes.Length;)
        {
            var length = BinaryPrimitives.ReadUInt16BigEndian(bytes.AsSpan(at + 4)) + 7;
            var p = bytes.AsSpan(at, length).ToArray();
            var day = BinaryPrimitives.ReadUInt16BigEndian(p.AsSpan(6)) - 4383;
            var time = Instant.FromUnixDay(day, BinaryPrimitives.ReadUInt32BigEndian(p.AsSpan(8)) * 1_000_000L + BinaryPrimitives.ReadUInt16BigEndian(p.AsSpan(12)) * 1000L);
            packets.Add(new TestPacket(BinaryPrimitives.ReadUInt16BigEndian(p) & 0x7FF, BinaryPrimitives.ReadUInt16BigEndian(p.AsSpan(2)) & 0x3FFF, time, p));
            at += length;
        }
        return packets;
    }

    /// <summary>
    /// A plain look at a row: mean signal A and the complex fringe amplitude A·V·e^(jφ) by unweighted least squares on the pattern, without the
    /// samples of the notches.
    /// </summary>
    /// <param name="packet">Fringe row.</param>
    /// <param name="optics">Its optics.</param>
    /// <param name="pattern">m·e^(jθ) of the row.</param>
    /// <param name="darkElectrons">Dark electrons a sample.</param>
    /// <param name="stepRad">Phase from sample to sample that motion adds.</param>
    public static (double Signal, double Re, double Im) Demodulate(TestPacket packet, OpticsTruth optics, double[] pattern, double darkElectrons, double stepRad = 0)
    {
        var normal = new double[3, 4];
        Span<double> basis = stackalloc double[4];
        for (var i = 20; i < Tern.Samples - 20; i++)
        {
            var electrons = ((packet.Sample(i) - Tern.BiasCounts) * Tern.ElectronsPerCount - darkElectrons) / optics.Flat[packet.Row][i];
            var (s, c) = Math.SinCos(stepRad * (i - (Tern.Samples - 1) / 2.0));
            double re = pattern[2 * i] * c - pattern[2 * i + 1] * s, im = pattern[2 * i] * s + pattern[2 * i + 1] * c;
            (basis[0], basis[1], basis[2], basis[3]) = (1, re, -im, electrons);
            for (var a = 0; a < 3; a++)
                for (var b = 0; b < 4; b++) normal[a, b] += basis[a] * basis[b];
        }
        for (var a = 0; a < 3; a++)
            for (var r = 0; r < 3; r++)
            {
                if (r == a) continue;
                var f = normal[r, a] / normal[a, a];
                for (var b = 0; b < 4; b++) normal[r, b] -= f * normal[a, b];
            }
        return (normal[0, 3] / normal[0, 0], normal[1, 3] / normal[1, 1], normal[2, 3] / normal[2, 2]);
    }
}

/// <summary>Generators that several tests share.</summary>
public static class Generators
{
    public static ScenarioGenerator Quiet { get; } = new(DemoScenario.Default, events: []);
    public static ScenarioGenerator Eventful { get; } = new(DemoScenario.Default);

    public static List<TestPacket> Packets(this ScenarioGenerator generator, double fromHours, double toHours) =>
        PacketFile.Read(generator.PacketsFor(generator.Scenario.At(fromHours), generator.Scenario.At(toHours)));
}
