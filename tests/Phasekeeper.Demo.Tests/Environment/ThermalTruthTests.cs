using Phasekeeper.Demo.Environment;
using Phasekeeper.Demo.Scenario;

namespace Phasekeeper.Demo.Tests.Environment;

public class ThermalTruthTests
{
    private static readonly ScenarioGenerator Quiet = Generators.Quiet;

    [Fact]
    public void Uncorrected_the_optics_drift_by_500_to_1000_metres_per_second_on_every_orbit()
    {
        for (var day = 0.3; day < 30; day += 2.9)
            foreach (var optics in Quiet.Instrument.Optics)
            {
                var drift = Enumerable.Range(0, 193).Select(i => Quiet.State.OpticalDriftRad(optics, Quiet.Scenario.At(day * 24 + i / 120.0))).ToArray();
                Assert.InRange((drift.Max() - drift.Min()) / optics.Kappa, 500, 1000);
            }
    }

    [Fact]
    public void The_optics_follow_the_interferometer_through_their_lag()
    {
        // The law dT_lag/dt = (T − T_lag)/τ, checked by differences away from the file's own solution.
        for (var h = 10.0; h < 34; h += 0.37)
        {
            var t = Quiet.Scenario.At(h);
            var slope = (Quiet.Thermal.At(t.AddSeconds(10)).OpticsC - Quiet.Thermal.At(t.AddSeconds(-10)).OpticsC) / 20;
            var s = Quiet.Thermal.At(t);
            Assert.Equal((s.InterferometerC - s.OpticsC) / ThermalTruth.OpticsLagS, slope, 3e-5);
        }
    }

    [Fact]
    public void Blocks_join_to_better_than_a_tenth_of_a_millikelvin()
    {
        // Blocks are six hours long. A microsecond before the border the block before still answers.
        for (var block = 1; block < 115; block += 9)
        {
            var border = Quiet.Scenario.At(6 * block);
            var (before, after) = (Quiet.Thermal.At(border.AddSeconds(-1e-6)), Quiet.Thermal.At(border));
            Assert.Equal(before.OpticsC, after.OpticsC, 1e-4);
            Assert.Equal(before.InterferometerC, after.InterferometerC, 1e-4);
            Assert.Equal(before.BenchC, after.BenchC, 1e-4);
        }
    }

    [Fact]
    public void Sunlight_warms_and_shadow_cools()
    {
        for (var h = 0.0; h < 48; h += 0.1)
        {
            var t = Quiet.Scenario.At(h);
            var s = Quiet.Thermal.At(t);
            var change = Quiet.Thermal.At(t.AddSeconds(60)).PanelC - s.PanelC;
            // The panel's steady state is +7.6 °C in the Sun and −38.4 °C in shadow.
            if (s.SunlitShare == 1 && Quiet.Thermal.At(t.AddSeconds(60)).SunlitShare == 1) Assert.True(change >= 0);
            if (s.SunlitShare == 0 && Quiet.Thermal.At(t.AddSeconds(60)).SunlitShare == 0) Assert.True(change <= 0);
        }
    }
}
