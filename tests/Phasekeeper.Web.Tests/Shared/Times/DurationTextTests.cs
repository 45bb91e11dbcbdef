using Phasekeeper.Web.Shared.Times;

namespace Phasekeeper.Web.Tests.Shared.Times;

public sealed class DurationTextTests
{
    [Theory]
    [InlineData(0.44, "0.4 s")]
    [InlineData(12, "12 s")]
    [InlineData(240, "4 min")]
    [InlineData(12_000, "3 h 20 min")]
    [InlineData(446_400, "5 d 4 h")]
    [InlineData(-90, "−90 s")]
    [InlineData(double.NaN, "–")]
    public void Durations_are_said_in_one_or_two_units(double seconds, string text) => Assert.Equal(text, DurationText.Short(seconds));
}
