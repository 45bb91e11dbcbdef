using Phasekeeper.Core.Time;
using Phasekeeper.Packets.Ccsds;
using Phasekeeper.Packets.Decoding;
using Phasekeeper.Tests;

namespace Phasekeeper.Packets.Tests.Decoding;

/// <summary>
/// 7,200 packets of a real polar orbiter (geolocation at 1 Hz, two hours; published test data of space_packet_parser, BSD 3-clause),
/// by their own XTCE file. They have no checksum. What they say about themselves must agree with physics.
/// </summary>
public class RealPacketsTests
{
    private const double OneMetrePerSecond = 1.0;

    private sealed record Sample(Instant Time, Instant EphemerisTime, double[] Position, double[] Velocity, double QuaternionNorm);

    [SharedFolderFact("real-packets")]
    public void Real_packets_decode_whole_and_agree_with_their_own_orbit()
    {
        var samples = Decode();
        Assert.Equal(7200, samples.Count);
        Assert.Equal("2021-04-09T00:00:00Z", samples[0].Time.ToString()[..19] + "Z");
        for (var i = 0; i < samples.Count; i++)
        {
            var s = samples[i];
            Assert.InRange(AltitudeKm(s.Position), 825, 860);
            // Earth-fixed speed of an 830 km sun-synchronous orbit: about 7.4 to 7.5 km/s plus the Earth's rotation against it.
            Assert.InRange(Norm(s.Velocity), 7000, 7600);
            Assert.InRange(s.QuaternionNorm, 1 - 1e-5, 1 + 1e-5);
            if (i == 0) continue;
            var before = samples[i - 1];
            Assert.InRange(s.Time - before.Time, 0.9, 1.1);
            // Velocity = dr/dt: mean of the two velocities against the step of position (curvature cancels to third order).
            var dt = s.EphemerisTime - before.EphemerisTime;
            for (var k = 0; k < 3; k++)
                Assert.InRange((s.Position[k] - before.Position[k]) / dt - (s.Velocity[k] + before.Velocity[k]) / 2, -OneMetrePerSecond, OneMetrePerSecond);
        }
        // The extremes as unpacked and computed by a separate Python script: 828.847 and 855.828 km ("about 825 to 850" in words).
        Assert.InRange(samples.Min(s => AltitudeKm(s.Position)), 828.846, 828.848);
        Assert.InRange(samples.Max(s => AltitudeKm(s.Position)), 855.827, 855.829);
    }

    private static List<Sample> Decode()
    {
        var folder = ReferenceFiles.SharedFolder("real-packets")!;
        var plan = Definitions.Compile(File.ReadAllText(Path.Combine(folder, "geolocation.xtce.xml")), Definitions.Cds("DOY", "MSEC", "USEC", crc16: false));
        Assert.Equal(20, plan.Channels.Count);
        Assert.Equal(8, plan.SecondaryHeaderBytes);
        var bytes = File.ReadAllBytes(Path.Combine(folder, "geolocation-2021-04-09.pkt"));
        var framed = PacketFramer.Frame(bytes, plan.FramingRules);
        Assert.Empty(framed.Quarantine);
        var values = plan.CreateValues();
        var times = new PacketTimeDecoder(plan, Instant.FromUtc(1990, 1, 1), Instant.FromUtc(2100, 1, 1));
        var samples = new List<Sample>();
        int Slot(string name) => plan.Find(name)!.Slot;
        double[] Read(params string[] names) => [.. names.Select(n => values.Value(Slot(n)))];
        foreach (var packet in framed.Packets)
        {
            Assert.True(plan.TryDecode(bytes.AsSpan(packet.Offset, packet.Length), values), values.Refusal?.Reason);
            Assert.Equal(20, values.Container!.Channels.Count(c => values.IsValid(c.Slot)));
            Assert.True(times.TryRead(values, out var time, out var refusal), refusal?.Reason);
            var ephemeris = Instant.FromUnixDay(values.Raw(Slot("ADAET1DAY")) - 4383, values.Raw(Slot("ADAET1MS")) * 1_000_000 + values.Raw(Slot("ADAET1US")) * 1000);
            samples.Add(new(time, ephemeris, Read("ADGPSPOSX", "ADGPSPOSY", "ADGPSPOSZ"), Read("ADGPSVELX", "ADGPSVELY", "ADGPSVELZ"),
                Norm(Read("ADCFAQ1", "ADCFAQ2", "ADCFAQ3", "ADCFAQ4"))));
        }
        return samples;
    }

    private static double Norm(double[] v) => Math.Sqrt(v.Sum(x => x * x));

    // Height above the WGS 84 ellipsoid by a few rounds of the usual iteration on latitude; exact to metres at this height.
    private static double AltitudeKm(double[] r)
    {
        const double A = 6378137.0, F = 1 / 298.257223563, E2 = F * (2 - F);
        var p = Math.Sqrt(r[0] * r[0] + r[1] * r[1]);
        var latitude = Math.Atan2(r[2], p * (1 - E2));
        for (var i = 0; i < 6; i++)
        {
            var n = A / Math.Sqrt(1 - E2 * Math.Sin(latitude) * Math.Sin(latitude));
            latitude = Math.Atan2(r[2] + E2 * n * Math.Sin(latitude), p);
        }
        var radius = A / Math.Sqrt(1 - E2 * Math.Sin(latitude) * Math.Sin(latitude));
        return (p * Math.Cos(latitude) + r[2] * Math.Sin(latitude) - radius * (1 - E2 * Math.Sin(latitude) * Math.Sin(latitude))) * 1e-3;
    }
}
