using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Pipeline.Coefficients.Fits;
using Phasekeeper.Pipeline.Mission;

namespace Phasekeeper.Pipeline.Tests.Coefficients.Fits;

/// <summary>Series go on over a change of the set where the known change of a reference says how, and begin at it where it does not.</summary>
public class AgeingTrackerTests
{
    private static readonly Instant Start = Instant.FromUtc(2031, 4, 1);

    private static readonly CoefficientSet First = new()
    {
        Name = "first",
        ValidFrom = Start,
        Dark = new(120, 2, -20, 6.5),
        Optics = [.. new[] { "F", "A" }.Select(v => new OpticsCoefficients
        {
            View = v, Line = "green", DistortionRad = [[0.0]], ZeroWindRad = [0.1, 0.2], Visibility = 0.6, LampRatio = 0.99, LampPhaseRad = 0.3, LampElectrons = 4000, LampVisibility = 0.5, Thermal = new(0.7, 420, 20),
        })],
        ImageShift = [new("F", 0.05, 15, 0), new("A", 0.05, 15, 0)],
    };

    // Ten orbits with either set; the tracker's value is 1 until the change and as told after it.
    private static IReadOnlyList<TrackerValue> Joined(string tracker, CoefficientSet second, double after, string view = "F")
    {
        var key = new SeriesKey(tracker, view, "green");
        var timeline = new CoefficientTimeline([new(Instant.MinValue, 1, First, [1]), new(Start.AddSeconds(57600), 2, second, [2])]);
        TrackerValue[] values = [.. Enumerable.Range(0, 20).Select(i => new TrackerValue(key, i, Start.AddSeconds(5760 * i + 10), i < 10 ? 1 : after, 0.1, 5, false))];
        return AgeingTracker.All.Single(a => a.Tracker == tracker).Joined(values, key, timeline);
    }

    private static CoefficientSet With(Func<OpticsCoefficients, OpticsCoefficients> change) => First with { Name = "second", Optics = [.. First.Optics.Select(o => o.View == "F" ? change(o) : o)] };

    /// <summary>ρ·(phase − reference): a reference larger by 0.2 makes the values smaller by 0.99 · 0.2; relative ones go with the ratio of the references.</summary>
    [Fact]
    public void Values_of_the_set_before_are_told_against_the_reference_of_the_newest()
    {
        var offset = Joined("lamp-offset", With(o => o with { LampPhaseRad = 0.5, ZeroWindRad = [0.298, 0.398] }), 1 - 0.99 * 0.2);
        Assert.Equal(20, offset.Count);
        Assert.All(offset, v => Assert.Equal((1 - 0.99 * 0.2, 0.1), (v.Value, v.Sigma), new Close()));
        var brightness = Joined("lamp-brightness", With(o => o with { LampElectrons = 5000 }), 0.8);
        Assert.Equal(20, brightness.Count);
        Assert.All(brightness, v => Assert.Equal(0.8, v.Value, 1e-12));
        Assert.Equal((0.08, 0.1), (brightness[0].Sigma, brightness[19].Sigma), new Close());
    }

    [Fact]
    public void A_change_that_cannot_be_told_begins_the_series()
    {
        Assert.Equal(Enumerable.Range(10, 10), Joined("lamp-offset", With(o => o with { Thermal = o.Thermal with { RadPerK = 0.72 } }), 1).Select(v => v.Orbit));
        Assert.Equal(10, Joined("lamp-offset", With(o => o with { LampRatio = 1 }), 1).Count);
        Assert.Equal(10, Joined("scene-visibility", With(o => o with { EnvelopeM1 = 0.1 }), 1).Count);
        Assert.Equal(10, Joined("dark-rate", First with { Dark = First.Dark with { DoublingK = 6 } }, 1).Count);
        Assert.Equal(10, Joined("thermal-slope", With(o => o with { Thermal = o.Thermal with { LagS = 430 } }), 1).Count);
    }

    [Fact]
    public void A_change_that_the_tracker_does_not_stand_on_is_none()
    {
        // Of the other view, of the approved slope alone, of the dark rate alone, of bad samples.
        Assert.Equal(20, Joined("lamp-offset", With(o => o with { Thermal = o.Thermal with { RadPerK = 0.72 } }), 1, view: "A").Count);
        Assert.Equal(20, Joined("thermal-slope", With(o => o with { Thermal = o.Thermal with { RadPerK = 0.72 }, LampPhaseRad = 0.4 }), 1).Count);
        Assert.Equal(20, Joined("dark-rate", First with { Dark = First.Dark with { RateElectronsPerS = 3 } }, 1).Count);
        Assert.Equal(20, Joined("image-shift-slope", First with { ImageShift = [new("F", 0.06, 15, 0)], BadSamples = [new("F", "green", 0, 3)] }, 1).Count);
        Assert.All(Joined("lamp-visibility", With(o => o with { Visibility = 0.5 }), 1), v => Assert.Equal((1, 0.1), (v.Value, v.Sigma)));
    }

    private sealed class Close : IEqualityComparer<(double A, double B)>
    {
        public bool Equals((double A, double B) x, (double A, double B) y) => Math.Abs(x.A - y.A) < 1e-12 && Math.Abs(x.B - y.B) < 1e-12;

        public int GetHashCode((double A, double B) obj) => 0;
    }
}
