using Phasekeeper.Core.Fringes;
using Phasekeeper.Demo.ForwardModel;
using Phasekeeper.Demo.Scenario;

namespace Phasekeeper.Demo.Tests.Scenario;

/// <summary>Each event of the diary is looked for in the packets themselves, against the same stretch without events.</summary>
public class InjectedEventTests
{
    private static ScenarioEvent Named(string name) => DemoScenario.Default.Events.Single(e => e.Name == name);
    private static List<TestPacket> With(double from, double to) => Generators.Eventful.Packets(from, to);
    private static List<TestPacket> Without(double from, double to) => Generators.Quiet.Packets(from, to);

    [Fact]
    public void A_heater_that_is_stuck_off_cools_the_interferometer_by_some_kelvin_and_stays_off()
    {
        var e = Named("heater-stuck");
        var cold = With(e.EndHours - 0.1, e.EndHours).Where(p => p.Apid == 110).Average(p => p.Channel("IFO_T1"));
        var warm = Without(e.EndHours - 0.1, e.EndHours).Where(p => p.Apid == 110).Average(p => p.Channel("IFO_T1"));
        Assert.InRange(warm - cold, 4.0, 4.6);
        Assert.All(With(e.StartHours + 0.1, e.EndHours).Where(p => p.Apid == 111), p => Assert.Equal(0, p.Channel("HTR_IFO")));
        Assert.Contains(Without(e.StartHours + 0.1, e.EndHours).Where(p => p.Apid == 111), p => p.Channel("HTR_IFO") == 1);
    }

    [Fact]
    public void A_heater_that_is_stuck_off_breaks_the_thermal_law_by_more_than_twenty_metres_per_second()
    {
        var at = DemoScenario.Default.At(Named("heater-stuck").EndHours - 0.05);
        var optics = Generators.Eventful.Instrument.Optics[0];
        double Residual(ScenarioGenerator g) => g.State.OpticalDriftRad(optics, at) - optics.RadPerK * (g.Thermal.At(at).OpticsC - Tern.ThermalReferenceC);
        Assert.InRange((Residual(Generators.Eventful) - Residual(Generators.Quiet)) / optics.Kappa, 20, 100);
    }

    [Fact]
    public void An_image_shift_step_moves_the_notches_of_its_view_and_not_of_the_other()
    {
        var e = Named("image-shift-step");
        var story = DemoScenario.Default;
        var flats = Generators.Quiet.Schedule.Between(story.At(e.StartHours - 14), story.At(e.StartHours + 14)).Where(x => x.Kind == ExposureKind.Flat).ToList();
        var (before, after) = (flats.Last(x => x.Time < story.At(e.StartHours)), flats.First(x => x.Time >= story.At(e.StartHours)));
        double Shift(Exposure flat, int view) => NotchCentre(Generators.Eventful, flat, view) - NotchCentre(Generators.Quiet, flat, view);
        Assert.InRange(Shift(before, 0), -0.01, 0.01);
        Assert.InRange(Shift(after, 0), 0.14, 0.16);
        Assert.InRange(Shift(after, 1), -0.01, 0.01);
    }

    [Theory]
    [InlineData("lamp-dimming", 0.65)]
    [InlineData("lamp-test", 1.2)]
    public void The_lamp_changes_its_brightness(string name, double factor)
    {
        var e = Named(name);
        var ratio = LampSum(With(e.StartHours + 0.1, e.StartHours + 0.4), 0).Signal / LampSum(Without(e.StartHours + 0.1, e.StartHours + 0.4), 0).Signal;
        Assert.InRange(ratio, factor - 0.005, factor + 0.005);
    }

    [Fact]
    public void A_lamp_test_shows_in_the_lamp_current()
    {
        var e = Named("lamp-test");
        Assert.All(With(e.StartHours + 0.1, e.EndHours).Where(p => p.Apid == 111), p => Assert.InRange(p.Channel("LAMP_I"), 178, 182));
    }

    [Fact]
    public void A_visibility_loss_weakens_the_fringes_of_its_view_alone()
    {
        var e = Named("visibility-loss");
        double Ratio(int view) => Visibility(With(e.StartHours + 0.1, e.StartHours + 0.4), view) / Visibility(Without(e.StartHours + 0.1, e.StartHours + 0.4), view);
        Assert.InRange(Ratio(1), 0.775, 0.785);
        Assert.InRange(Ratio(0), 0.995, 1.005);
    }

    [Fact]
    public void A_lost_downlink_leaves_nothing_of_its_stretch_and_all_around_it()
    {
        var e = Named("lost-downlink");
        Assert.Empty(With(e.StartHours, e.EndHours));
        Assert.NotEmpty(With(e.StartHours - 0.01, e.StartHours));
        Assert.NotEmpty(With(e.EndHours, e.EndHours + 0.01));
    }

    [Fact]
    public void A_repeated_downlink_brings_exactly_what_was_missing()
    {
        var (e, delivered) = Assert.Single(Generators.Eventful.LateDownlinks);
        Assert.Equal("late-downlink", e.Name);
        Assert.True(delivered > DemoScenario.Default.FirstNow);
        Assert.Empty(With(e.StartHours, e.EndHours));
        var quiet = Generators.Quiet.PacketsFor(DemoScenario.Default.At(e.StartHours), DemoScenario.Default.At(e.EndHours));
        Assert.Equal(PacketFile.Read(quiet).Count, PacketFile.Read(Generators.Eventful.LatePackets(e)).Count);
    }

    [Fact]
    public void Some_packets_of_a_bad_pass_are_damaged_and_the_others_untouched()
    {
        var e = Named("corrupted-packets");
        var sound = Without(e.StartHours, e.StartHours + 0.25).Select(p => Convert.ToHexString(p.Bytes)).ToList();
        var stream = Convert.ToHexString(Generators.Eventful.PacketsFor(DemoScenario.Default.At(e.StartHours), DemoScenario.Default.At(e.StartHours + 0.25)));
        // Each packet that came through stands somewhere behind the one before it.
        int at = 0, found = 0;
        foreach (var p in sound)
        {
            var here = stream.IndexOf(p, at, StringComparison.Ordinal);
            if (here < 0) continue;
            at = here + p.Length;
            found++;
        }
        // 6 % are hit, and one in ten of these only has garbage before it.
        Assert.InRange(1 - (double)found / sound.Count, 0.035, 0.075);
    }

    [Fact]
    public void A_clock_jump_moves_the_times_but_not_the_counts()
    {
        var e = Named("clock-jump");
        foreach (var (hours, jump) in new[] { (e.StartHours - 0.05, 0.0), (e.StartHours, 40.0), (e.EndHours - 0.05, 40.0), (e.EndHours, 0.0) })
        {
            var with = With(hours, hours + 0.05);
            var without = Without(hours, hours + 0.05);
            Assert.Equal(without.Select(p => (p.Apid, p.Count)), with.Select(p => (p.Apid, p.Count)));
            Assert.All(with.Zip(without), p => Assert.Equal(jump, p.First.Time - p.Second.Time));
        }
    }

    [Fact]
    public void A_spike_storm_hits_many_samples_and_leaves_the_rest_as_they_were()
    {
        var e = Named("spike-storm");
        var with = With(e.StartHours + 0.1, e.StartHours + 0.4).Where(p => p.Apid == 210).ToList();
        var without = Without(e.StartHours + 0.1, e.StartHours + 0.4).Where(p => p.Apid == 210).ToList();
        long hit = 0, all = 0;
        foreach (var (a, b) in with.Zip(without))
            for (var i = 0; i < Tern.Samples; i++, all++)
                if (a.Sample(i) > b.Sample(i) + 20) hit++;
        // 60 times 0.012 a second for 20 s in 3,072 samples is 0.47 %; lamp exposures are shorter.
        Assert.InRange((double)hit / all, 0.003, 0.006);
    }

    [Fact]
    public void An_attitude_offset_moves_the_scene_phase_by_half_a_degree_of_the_satellites_speed()
    {
        var e = Named("attitude-offset");
        // This event alone: the image-shift step, which stays, moves the phase too.
        var with = new ScenarioGenerator(DemoScenario.Default, events: [e]).Packets(e.StartHours + 1, e.StartHours + 1.2);
        var without = Without(e.StartHours + 1, e.StartHours + 1.2);
        var optics = Generators.Quiet.Instrument.Optics[0];
        double re = 0, im = 0;
        foreach (var (a, b) in with.Zip(without).Where(p => p.First.Apid == 210 && p.First.Kind == 0 && p.First.Optics == 0 && p.First.Row < 6))
        {
            const double motion = -4800;
            var x = PacketFile.Demodulate(a, optics, optics.ScenePattern[a.Row], 40, -optics.KappaStep * motion);
            var y = PacketFile.Demodulate(b, optics, optics.ScenePattern[b.Row], 40, -optics.KappaStep * motion);
            re += x.Re * y.Re + x.Im * y.Im;
            im += x.Im * y.Re - x.Re * y.Im;
        }
        // Turning left from 45° leaves less of the 7.5 km/s along the look: 0.5° · 7,500 m/s · sin 45° · cos 20° ≈ 43 m/s, seen as recession.
        Assert.InRange(-Math.Atan2(im, re) / optics.Kappa, 35, 55);
        Assert.All(with.Where(p => p.Apid == 112), p => Assert.InRange(p.Channel("ATT_Z"), -0.02, 0.02));
    }

    [Fact]
    public void A_manoeuvre_shows_in_the_modes()
    {
        var e = Named("manoeuvre");
        Assert.All(With(e.StartHours, e.EndHours).Where(p => p.Apid == 112), p => Assert.Equal((4, 1), (p.Channel("MODE"), p.Channel("ST_STATUS"))));
        Assert.All(With(e.EndHours, e.EndHours + 0.1).Where(p => p.Apid == 112), p => Assert.Equal((2, 0), (p.Channel("MODE"), p.Channel("ST_STATUS"))));
    }

    private static double NotchCentre(ScenarioGenerator generator, Exposure exposure, int view)
    {
        var packets = PacketFile.Read(generator.PacketsFor(exposure.Time, exposure.Time.AddSeconds(0.001)));
        double sum = 0, weight = 0;
        foreach (var p in packets.Where(p => p.Apid == 210 && p.Optics == 2 * view))
        {
            var flat = Generators.Quiet.Instrument.Optics[p.Optics].Flat[p.Row];
            double Level(int i) => (p.Sample(i) - Tern.BiasCounts) * Tern.ElectronsPerCount / flat[i];
            var white = Enumerable.Range(30, 130).Average(Level);
            for (var i = 181 - 6; i <= 181 + 6; i++)
            {
                var missing = 1 - Level(i) / white;
                sum += missing * i;
                weight += missing;
            }
        }
        return sum / weight;
    }

    private static (double Signal, double Fringe) LampSum(List<TestPacket> packets, int view)
    {
        double signal = 0, fringe = 0;
        foreach (var p in packets.Where(p => p.Apid == 210 && p.Kind == 1 && p.Optics == 2 * view))
        {
            var optics = Generators.Quiet.Instrument.Optics[p.Optics];
            var (a, re, im) = PacketFile.Demodulate(p, optics, optics.LampPattern[p.Row], 10);
            signal += a;
            fringe += Math.Sqrt(re * re + im * im);
        }
        return (signal, fringe);
    }

    private static double Visibility(List<TestPacket> packets, int view)
    {
        var (signal, fringe) = LampSum(packets, view);
        return fringe / signal;
    }
}
