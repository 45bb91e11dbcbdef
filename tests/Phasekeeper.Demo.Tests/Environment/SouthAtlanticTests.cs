using Phasekeeper.Core.Fringes;
using Phasekeeper.Demo.Environment;
using Phasekeeper.Demo.ForwardModel;

namespace Phasekeeper.Demo.Tests.Environment;

public class SouthAtlanticTests
{
    [Fact]
    public void Most_spikes_of_a_day_fall_in_the_South_Atlantic()
    {
        var g = Generators.Quiet;
        double inside = 0, all = 0, insideTime = 0;
        const int steps = 2880;
        for (var i = 0; i < steps; i++)
        {
            var t = g.Scenario.At(24 + i / 120.0);
            var (sin, cos) = Math.SinCos(EarthModel.SiderealRad(t));
            var below = EarthModel.Geodetic(EarthModel.ToEarthFixed(g.Orbit.StateAt(t).PositionTemeM, sin, cos));
            var rate = g.State.SpikesPerS(t, below);
            all += rate;
            if (below.LatitudeDeg is < 0 and > -52 && below.LongitudeDeg is > -105 and < 10)
            {
                inside += rate;
                insideTime += 1.0 / steps;
            }
        }
        Assert.InRange(inside / all, 0.75, 0.99);
        Assert.InRange(insideTime, 0.05, 0.25);
    }

    [Fact]
    public void A_lamp_exposure_over_the_anomaly_shows_spikes_with_exponential_amplitudes()
    {
        // The lamp exposure of two days that lies nearest to the centre, against its own fringes and noise.
        var g = Generators.Quiet;
        var over = g.Schedule.Between(g.Scenario.At(24), g.Scenario.At(72)).Where(e => e.Kind == ExposureKind.Lamp)
            .MaxBy(e => SouthAtlantic.ShapeAt(Below(e).LatitudeDeg, Below(e).LongitudeDeg));
        Assert.True(SouthAtlantic.ShapeAt(Below(over).LatitudeDeg, Below(over).LongitudeDeg) > 0.7);
        var rows = PacketFile.Read(g.PacketsFor(over.Time, over.Time.AddSeconds(0.001))).Where(p => p.Apid == 210).ToList();
        var excess = new List<double>();
        foreach (var p in rows)
        {
            var optics = g.Instrument.Optics[p.Optics];
            var (a, re, im) = PacketFile.Demodulate(p, optics, optics.LampPattern[p.Row], 10);
            for (var i = 20; i < Tern.Samples - 20; i++)
            {
                var model = optics.Flat[p.Row][i] * (a + re * optics.LampPattern[p.Row][2 * i] - im * optics.LampPattern[p.Row][2 * i + 1]) + 10;
                var left = (p.Sample(i) - Tern.BiasCounts) * Tern.ElectronsPerCount - model;
                if (left > 8 * Math.Sqrt(model + 100)) excess.Add(left);
            }
        }
        // 1.2/s · 5 s · 4 views and lines · 152/192 of the samples ≈ 19, most of them above eight sigma (some 650 electrons).
        Assert.InRange(excess.Count, 4, 35);
        Assert.InRange(excess.Average(), 1200, 5000);
    }

    private static GeodeticPoint Below(Exposure e)
    {
        var (sin, cos) = Math.SinCos(EarthModel.SiderealRad(e.Time));
        return EarthModel.Geodetic(EarthModel.ToEarthFixed(Generators.Quiet.Orbit.StateAt(e.Time).PositionTemeM, sin, cos));
    }
}
