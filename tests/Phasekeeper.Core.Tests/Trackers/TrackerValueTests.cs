using Phasekeeper.Core.Tests.Thermal;
using Phasekeeper.Core.Trackers;

namespace Phasekeeper.Core.Tests.Trackers;

public sealed class TrackerValueTests
{
    private static TrackerValue Value(IReadOnlyList<TrackerValue> values, string id, string? view = null, string? line = null) =>
        values.Single(v => v.Key.Tracker == id && v.Key.View == view && v.Key.Line == line);

    private static void Near(double expected, TrackerValue value, double sigmas = 4)
    {
        Assert.True(value.Sigma > 0, $"{value.Key} has no sigma");
        Assert.True(Math.Abs(value.Value - expected) < sigmas * value.Sigma, $"{value.Key}: {value.Value} ± {value.Sigma}, expected {expected}");
    }

    [Fact]
    public void Injected_slope_lag_offset_and_view_difference_are_recovered()
    {
        var values = TrackerCatalog.Compute(new SimulatedOrbit { RadPerK = 0.74, LagS = 500, ApprovedLagS = 500, SecondViewExtraRad = 0.15 }.Make(21));
        foreach (var view in new[] { "F", "A" })
        {
            Near(0.74, Value(values, "thermal-slope", view, "green"));
            Near(500, Value(values, "thermal-lag", view, "green"));
        }
        Near(-0.15, Value(values, "view-difference", null, "green"));
        var kappa = 2 * Math.PI / 557.8887e-9 * 0.05 / 299_792_458.0;
        Assert.Equal(Value(values, "thermal-slope", "F", "green").Value / kappa, Value(values, "thermal-slope-wind", "F", "green").Value, 1e-9);
        Assert.Equal(Value(values, "thermal-residual", "F", "green").Value / kappa, Value(values, "thermal-residual-wind", "F", "green").Value, 1e-9);
    }

    [Fact]
    public void The_lamp_offset_is_the_injected_ageing()
    {
        Near(0.4, Value(TrackerCatalog.Compute(new SimulatedOrbit().Make(5)), "lamp-offset", "F", "green"));
    }

    [Fact]
    public void The_thermal_residual_is_noise_when_the_model_is_right_and_grows_with_its_error()
    {
        var right = Value(TrackerCatalog.Compute(new SimulatedOrbit().Make(5)), "thermal-residual", "F", "green");
        Assert.InRange(right.Value, 0.0003, 0.003); // 2 mrad over six rows, and the smooth shift's error
        var wrong = Value(TrackerCatalog.Compute(new SimulatedOrbit { RadPerK = 0.75 }.Make(5)), "thermal-residual", "F", "green");
        Assert.InRange(wrong.Value, 0.03, 0.12); // 0.04 rad/K over an orbit's swing
    }

    [Fact]
    public void Image_shift_slope_and_frequency_are_recovered()
    {
        var values = TrackerCatalog.Compute(new SimulatedOrbit { TrueShiftSlope = 0.06 }.Make(8));
        Near(0.06, Value(values, "image-shift-slope", "F"));
        Near(-0.048, Value(values, "image-shift-slope", "A"));
        Assert.InRange(Value(values, "image-shift-swing", "F").Value, 0.22, 0.26); // 4 K of bench swing
        Assert.Equal(3, Value(values, "fringe-frequency", "F", "green").Value, 1e-9);
    }

    [Fact]
    public void The_scene_phase_residual_is_the_wind_that_was_put_in()
    {
        var value = Value(TrackerCatalog.Compute(new SimulatedOrbit { WindMs = 25 }.Make(9)), "scene-phase-residual", "F", "green");
        Near(25, value);
        Assert.InRange(value.Sigma, 0.01, 3);
    }

    [Fact]
    public void Dark_layer_winds_channels_and_counts_have_their_plain_values()
    {
        var analysis = new OrbitAnalysis(FullOrbit.Make());
        var values = TrackerCatalog.Compute(analysis.Input);
        Assert.Equal(FullOrbit.DarkRate, Value(values, "dark-rate", "F", "green").Value, 1e-9);
        Assert.Equal(2, Value(values, "hot-samples", "F", "green").Value); // 5 in two of three exposures, 300 in all
        Assert.Equal([(0, 5), (1, 44)], HotSamplesTracker.Persistent(analysis, analysis.Channels[0]).Select(b => (b.Row, b.Sample)));
        Assert.Equal(FullOrbit.PeakKm, Value(values, "tangent-height", "F").Value, 0.01);
        Assert.Equal(4, Value(values, "green-red-difference", "F").Value, 1e-9);
        Assert.Equal(5, Value(values, "ascending-descending-difference", null, "green").Value, 1e-9);
        Assert.Equal(0.9, Value(values, "completeness").Value, 1e-12);
        Assert.Equal(0.995, Value(values, "packet-completeness").Value, 1e-12);
        Assert.Equal(20, Value(values, "latency").Value);
        Assert.Equal(1, Value(values, "spike-rate", "F", "green").Value, 1e-12);
        Assert.Equal(1, Value(values, "lamp-brightness", "F", "green").Value * 4000 / 3900, 1e-9);
        Assert.Equal(33, Value(values, "beta-angle").Value);
        // Level 30 against a median of 20.2 with a spread of 0.1·1.4826.
        Assert.Equal(9.8 / 0.14826, Value(values, "channel-profile").Value, 0.01);
        Assert.True(Value(values, "sunlit-shadow-difference").Value > 0.5);
        Assert.Equal(96, SpikeMap.Of(analysis.Input).Count / 2);
    }
}
