using Phasekeeper.Demo.Telemetry;

namespace Phasekeeper.Demo.Tests.Telemetry;

public class HousekeepingTests
{
    public static TheoryData<string> Channels => new(HousekeepingChannels.Packets.SelectMany(p => p.Channels).Select(c => c.Name));

    [Fact]
    public void There_are_more_than_thirty_channels_each_named_once_and_described()
    {
        var all = HousekeepingChannels.Packets.SelectMany(p => p.Channels).ToList();
        Assert.InRange(all.Count, 30, 100);
        Assert.Equal(all.Count, all.Select(c => c.Name).Distinct().Count());
        Assert.All(all, c => Assert.True(c.Description.Length > 3));
        Assert.All(HousekeepingChannels.Packets, p => Assert.InRange(p.PeriodS, 10, 30));
        Assert.Contains(all, c => c.Calibration is SplineCalibration);
        Assert.Contains(all, c => c.Calibration is QuadraticCalibration);
    }

    [Theory, MemberData(nameof(Channels))]
    public void A_channel_stays_within_its_alarm_ranges_on_quiet_days(string name)
    {
        var packet = HousekeepingChannels.Packets.Single(p => p.Channels.Any(c => c.Name == name));
        var channel = packet.Channels.Single(c => c.Name == name);
        foreach (var day in new[] { 0.5, 9.2, 15.7, 22.3, 29.9 })
            foreach (var p in Quiet(day).Where(p => p.Apid == packet.Apid))
            {
                var value = p.Channel(name);
                if (channel.Labels is { } labels)
                {
                    Assert.InRange(value, 0, labels.Length - 1);
                    Assert.DoesNotContain(channel.LabelAlarms, a => a.Label == labels[(int)value]);
                }
                if (channel.Warning is { } w) Assert.True(!(value < w.Low) && !(value > w.High), $"{name} is {value} at {p.Time}; the warning range is {w.Low}…{w.High}");
                if (channel.Critical is { } c) Assert.True(!(value < c.Low) && !(value > c.High), $"{name} is {value} at {p.Time}; the critical range is {c.Low}…{c.High}");
            }
    }

    [Theory, MemberData(nameof(Channels))]
    public void A_calibration_and_its_inverse_fit(string name)
    {
        var channel = HousekeepingChannels.Packets.SelectMany(p => p.Channels).Single(c => c.Name == name);
        var calibration = channel.Calibration ?? new LinearCalibration(0, 1);
        foreach (var raw in new[] { 0.0, 1, 57, 200, 255 })
            Assert.Equal(raw, calibration.RawOf(calibration.ValueOf(raw)), 6);
        if (channel is { Warning: { } w, Critical: { } c })
        {
            Assert.False(c.Low > w.Low);
            Assert.False(c.High < w.High);
        }
    }

    [Fact]
    public void Temperatures_in_packets_are_the_truth_within_sensor_noise_and_steps()
    {
        foreach (var p in Quiet(15.7).Where(p => p.Apid == 110))
        {
            var t = Generators.Quiet.Thermal.At(p.Time);
            Assert.Equal(t.InterferometerC, p.Channel("IFO_T1"), 0.012);
            Assert.Equal(t.BenchC, p.Channel("OB_T1"), 0.012);
            Assert.Equal(t.DetectorC, p.Channel("DET_T1"), 0.018);
        }
    }

    [Fact]
    public void Counters_rise()
    {
        var status = Quiet(9.2).Where(p => p.Apid == 112).ToList();
        foreach (var name in new[] { "EDAC_COUNT", "EXP_COUNT", "CMD_COUNT", "UPTIME" })
        {
            var values = status.Select(p => p.Channel(name)).ToArray();
            Assert.Equal(values.Order(), values);
            Assert.True(values[^1] > values[0], $"{name} stands still at {values[0]}");
        }
    }

    private static readonly Dictionary<double, List<TestPacket>> Cache = [];

    private static List<TestPacket> Quiet(double day)
    {
        lock (Cache)
            return Cache.TryGetValue(day, out var found) ? found : Cache[day] = Generators.Quiet.Packets(day * 24 - 1.7, day * 24);
    }
}
