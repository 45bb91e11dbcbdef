using Phasekeeper.Web.Shared.Numbers;

namespace Phasekeeper.Web.Tests.Shared.Numbers;

public sealed class NumberTextTests
{
    [Theory]
    [InlineData(12.345, 1, "12.3")]
    [InlineData(-0.5, 2, "−0.50")]
    [InlineData(double.NaN, 2, "–")]
    public void A_number_has_its_decimals_and_a_true_minus_sign(double value, int decimals, string text) => Assert.Equal(text, NumberText.Fixed(value, decimals));

    [Theory]
    [InlineData(13.894, "degC", "13.89 °C")]
    [InlineData(0.97, "1", "0.97")]
    [InlineData(15, "count", "15")]
    [InlineData(2.13, "e-/s", "2.13 e⁻/s")]
    [InlineData(double.NaN, "m/s", "–")]
    public void A_unit_stands_behind_its_number_as_people_write_it(double value, string unit, string text) => Assert.Equal(text, NumberText.WithUnit(value, unit));

    [Theory]
    [InlineData(1_234_567, "1\u202f234\u202f567")]
    [InlineData(-42, "−42")]
    public void Whole_numbers_are_grouped(long value, string text) => Assert.Equal(text, NumberText.Whole(value));

    [Theory]
    [InlineData(999, "999 B")]
    [InlineData(26_700, "26.7 kB")]
    [InlineData(512_000_000, "512 MB")]
    public void Bytes_are_said_in_the_unit_that_fits(long bytes, string text) => Assert.Equal(text, NumberText.Bytes(bytes));
}
