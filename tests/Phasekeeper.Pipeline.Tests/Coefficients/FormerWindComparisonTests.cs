using Phasekeeper.Core.Winds;
using Phasekeeper.Pipeline.Coefficients;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Tests.Coefficients;

/// <summary>Winds of before and of now are laid side by side, also where only one of the two has an exposure.</summary>
public class FormerWindComparisonTests
{
    private static FormerWind Wind(long exposure, params (double WindMs, WindQuality Quality)[] rows) => new()
    {
        Orbit = 1,
        Time = ShortCampaign.Start,
        Exposure = exposure,
        View = "F",
        Line = "green",
        SoftwareVersion = "t",
        Rows = [.. rows.Select(r => new FormerWindRow(r.WindMs, 1, 0, 100, r.Quality))],
    };

    [Fact]
    public void Exposures_of_one_side_alone_are_gained_or_lost_and_bad_winds_are_neither()
    {
        FormerWind Of(long exposure) => Wind(exposure, (exposure, WindQuality.Good), (exposure, WindQuality.Bad));
        var (changes, gained, lost) = FormerWindComparison.Compare([Of(1), Of(2)], [Of(1), Of(3), Of(4)]);
        Assert.Equal((1, 2, 1), (changes.Count, gained, lost));
        Assert.Equal((0, 1, 0), Counts([], [Of(5)]));
        Assert.Equal((0, 0, 1), Counts([Of(5)], []));
    }

    [Fact]
    public void Rows_that_only_the_newer_profile_has_are_gained() =>
        Assert.Equal((1, 1, 0), Counts([Wind(1, (5, WindQuality.Good))], [Wind(1, (6, WindQuality.Good), (7, WindQuality.Good))]));

    private static (int, int, int) Counts(FormerWind[] before, FormerWind[] after)
    {
        var (changes, gained, lost) = FormerWindComparison.Compare(before, after);
        return (changes.Count, gained, lost);
    }
}
