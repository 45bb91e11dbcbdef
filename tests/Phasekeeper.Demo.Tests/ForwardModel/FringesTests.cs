using Phasekeeper.Core.Fringes;
using Phasekeeper.Demo.ForwardModel;

namespace Phasekeeper.Demo.Tests.ForwardModel;

public class FringesTests
{
    private static readonly Phasekeeper.Demo.Scenario.ScenarioGenerator G = Generators.Quiet;

    [Fact]
    public void Lamp_rows_show_the_drift_that_was_put_in_and_the_reference_visibility()
    {
        foreach (var exposure in G.Packets(36, 36.5).Where(p => p.Apid == 210 && p.Kind == (int)ExposureKind.Lamp).GroupBy(p => (p.Exposure, p.Optics)))
        {
            var optics = G.Instrument.Optics[exposure.Key.Optics];
            double re = 0, im = 0, signal = 0;
            foreach (var p in exposure)
            {
                var d = PacketFile.Demodulate(p, optics, optics.LampPattern[p.Row], 10);
                (signal, re, im) = (signal + d.Signal, re + d.Re, im + d.Im);
            }
            var time = exposure.First().Time;
            var expected = optics.LampPhaseRad + G.State.OpticalDriftRad(optics, time) / optics.LampRatio
                - 2 * Math.PI * optics.Line.LampCycles * G.State.ImageShiftSamples(optics.Index / 2, time) / Tern.Samples;
            // 16 rows of 152 samples of 4000 electrons: σ ≈ sqrt(2/(2432·4000))/V ≈ 0.0007 rad.
            Assert.InRange(Math.IEEERemainder(Math.Atan2(im, re) - expected, 2 * Math.PI), -0.004, 0.004);
            Assert.InRange(Math.Sqrt(re * re + im * im) / signal / optics.LampVisibility, 0.99, 1.01);
        }
    }

    [Fact]
    public void Scene_rows_show_the_phase_that_the_truth_file_names()
    {
        var text = new StringWriter();
        var (from, to) = (G.Scenario.At(36), G.Scenario.At(36.2));
        G.WriteTruth(text, from, to);
        var truth = text.ToString().Split('\n').Skip(1).Where(l => l.Length > 0).Select(l => l.Split(',')).ToDictionary(f => (long.Parse(f[0]), f[1], f[2], int.Parse(f[3])), f => f.Skip(4).Select(double.Parse).ToArray());
        var errors = new List<double>();
        foreach (var p in G.Packets(36, 36.2).Where(p => p.Apid == 210 && p.Kind == (int)ExposureKind.Scene))
        {
            var optics = G.Instrument.Optics[p.Optics];
            var t = truth[(p.Exposure, optics.View.Id, optics.Line.Id, p.Row)];
            double motion = t[3], phase = t[4], signal = t[5];
            if (signal < 500) continue;
            var dark = G.State.DarkElectronsPerS(p.Time) * 20;
            var (a, re, im) = PacketFile.Demodulate(p, optics, optics.ScenePattern[p.Row], dark, -optics.KappaStep * motion);
            var found = Math.Atan2(im, re) + optics.Kappa * motion - optics.ZeroWindRad[p.Row];
            Assert.InRange(a / signal, 0.9, 1.1);
            errors.Add(Math.IEEERemainder(found - phase, 2 * Math.PI) / (Math.Sqrt(2.0 / 152 / a) / optics.Visibility));
        }
        Assert.True(errors.Count > 200);
        // The unweighted fit reaches about its own limit; rows with particle hits (not masked here) lie far outside, so quantiles are compared.
        errors.Sort();
        Assert.InRange((errors[(int)(0.84 * errors.Count)] - errors[(int)(0.16 * errors.Count)]) / 2, 0.9, 1.6);
        Assert.InRange(errors[errors.Count / 2], -0.2, 0.2);
    }

    [Fact]
    public void Dark_rows_have_the_mean_and_noise_of_the_dark_law()
    {
        var exposure = G.Schedule.Between(G.Scenario.Start, G.Scenario.At(6)).First(e => e.Kind == ExposureKind.Dark);
        var hot = G.Instrument.Optics.ToDictionary(o => o.Index, o => o.HotSamples.Select(h => (h.Row, h.Sample)).ToHashSet());
        var electrons = PacketFile.Read(G.PacketsFor(exposure.Time, exposure.Time.AddSeconds(0.001))).Where(p => p.Apid == 210)
            .SelectMany(p => Enumerable.Range(0, Tern.Samples).Where(i => !hot[p.Optics].Contains((p.Row, i))).Select(i => (p.Sample(i) - Tern.BiasCounts) * Tern.ElectronsPerCount))
            .Where(e => e < 200).ToArray();
        var expected = G.State.DarkElectronsPerS(exposure.Time) * 20;
        var mean = electrons.Average();
        Assert.Equal(expected, mean, 0.5);
        // Photon noise, 8 electrons of read noise, rounding to 2 electrons.
        Assert.InRange(electrons.Average(e => (e - mean) * (e - mean)) / (expected + 64 + 4.0 / 12), 0.96, 1.04);
    }

    [Fact]
    public void Hot_samples_grow_in_number_and_the_dark_rate_grows()
    {
        int Hot(double days) => G.Instrument.Optics.Sum(o => o.HotSamples.Count(h => h.OnsetDay <= days));
        Assert.Equal(12, Hot(0));
        Assert.InRange(Hot(30), 60, 72);
        var growth = G.State.DarkElectronsPerS(G.Scenario.At(720)) / G.State.DarkFactor(G.Scenario.At(720)) / (G.State.DarkElectronsPerS(G.Scenario.Start) / G.State.DarkFactor(G.Scenario.Start));
        Assert.Equal(1.06, growth, 6);
    }
}
