using Phasekeeper.Core.Trackers;
using Phasekeeper.Core.ZeroWind;

namespace Phasekeeper.Core.Tests.Trackers;

public sealed class ZeroWindTrackerTests
{
    [Fact]
    public void What_is_claimed_has_a_value_a_view_and_line_and_nothing_else_has()
    {
        var input = FullOrbit.Make();
        var values = Of(input);
        Assert.Equal([("F", "green", 3.0, 0.9), ("A", "green", -2.0, 0.8), ("F", "red", 3.0, 0.9), ("A", "red", -2.0, 0.8)], values.Select(v => (v.Key.View!, v.Key.Line!, v.Value, v.Sigma)));
        Assert.All(values, v => Assert.Equal(900, v.N));
        var waiting = input with { ZeroWind = [input.ZeroWind[0] with { Status = ZeroWindStatus.CannotTellYet, Reasons = ["not yet"] }] };
        Assert.Empty(Of(waiting));
    }

    [Fact]
    public void It_says_that_a_yaw_error_cannot_be_told_apart() =>
        Assert.Contains("cannot be told apart", TrackerCatalog.Find("zero-wind")!.Info.MovedBy, StringComparison.Ordinal);

    private static IReadOnlyList<TrackerValue> Of(OrbitInput input) => TrackerCatalog.Compute(new OrbitAnalysis(input), TrackerSource.ZeroWind);
}
