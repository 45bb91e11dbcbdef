using Phasekeeper.Web.Shared.Numbers;

namespace Phasekeeper.Web.Tests.Shared.Numbers;

public sealed class FigureTextTests
{
    [Theory]
    [InlineData(0, "0")]
    [InlineData(12.3456, "12.3")]
    [InlineData(-0.00123456, "−0.00123")]
    [InlineData(98765, "98765")]
    [InlineData(1.5e-7, "1.5e−7")]
    [InlineData(double.NaN, "–")]
    public void Three_figures_are_kept(double value, string text) => Assert.Equal(text, FigureText.Of(value));

    [Theory]
    [InlineData(79.0, "79")]
    [InlineData(27.982, "27.982")]
    [InlineData(3458, "3458")]
    [InlineData(-0.0002, "−0.0002")]
    public void The_short_form_drops_ending_zeros(double value, string text) => Assert.Equal(text, FigureText.Short(value, 5));
}
