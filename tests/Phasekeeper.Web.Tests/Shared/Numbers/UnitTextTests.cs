using Phasekeeper.Web.Shared.Numbers;

namespace Phasekeeper.Web.Tests.Shared.Numbers;

public sealed class UnitTextTests
{
    [Theory]
    [InlineData("degC", "°C")]
    [InlineData("degF", "°F")]
    [InlineData("ohm", "Ω")]
    [InlineData("e-/s", "e⁻/s")]
    [InlineData("m/s", "m/s")]
    [InlineData("count", null)]
    [InlineData("1", null)]
    [InlineData(null, null)]
    public void A_unit_is_shown_as_people_write_it(string? unit, string? shown) => Assert.Equal(shown, UnitText.Of(unit));

    [Theory]
    [InlineData("at most by -4.526 degC (13.98 instead of 18.5 degC)", "at most by −4.526 °C (13.98 instead of 18.5 °C)")]
    [InlineData("was 2.109 e-/s on orbit 4631", "was 2.109 e⁻/s on orbit 4631")]
    [InlineData("a heater of 12.5 ohm at 68 degF", "a heater of 12.5 Ω at 68 °F")]
    [InlineData("from orbit 4618 (2031-05-09T02:06:39.705270396Z) on", "from orbit 4618 (2031-05-09 02:06 UTC) on")]
    [InlineData("channel degC of the box", "channel degC of the box")]
    [InlineData("rule drift-2 of 2031-05-09, orbits 4623-4625", "rule drift-2 of 2031-05-09, orbits 4623-4625")]
    public void A_sentence_keeps_its_hyphens_and_gets_its_minus_signs(string sentence, string shown) => Assert.Equal(shown, UnitText.InSentence(sentence));
}
