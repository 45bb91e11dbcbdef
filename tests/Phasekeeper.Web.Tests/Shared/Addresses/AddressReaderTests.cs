using Phasekeeper.Web.Shared.Addresses;

namespace Phasekeeper.Web.Tests.Shared.Addresses;

public sealed class AddressReaderTests
{
    private readonly AddressReader address = new();

    [Fact]
    public void What_is_right_or_absent_is_silent()
    {
        Assert.Equal(7, address.Whole("row", "7", 0, 9, "x"));
        Assert.Equal(-3, address.Orbit("-3", "x"));
        Assert.Equal(99.5, address.Number("altitude", "99.5", 0, 1000, "km", "x"));
        Assert.Equal("F", address.Word("view", "F", ["A", "F"], "x"));
        Assert.Equal(new DateOnly(2031, 5, 9), address.Day("date", "2031-05-09", _ => true, "x"));
        Assert.Equal("2031-05-09T06:00:00Z", address.Time("to", "2031-05-09T06:00:00Z", "x").ToString());
        Assert.Equal(("2031-05-09T06:00:00Z", "2031-05-09T07:00:00Z"), address.Stretch("2031-05-09T06:00:00Z", "2031-05-09T07:00:00Z"));
        Assert.Null(address.Whole("row", "", 0, 9, "x"));
        Assert.Null(address.Word("view", null, ["A"], "x"));
        Assert.Equal((null, null), address.Stretch(null, null));
        Assert.Empty(address.Notes);
    }

    [Fact]
    public void What_is_wrong_is_told_with_what_was_expected_and_what_is_shown()
    {
        Assert.Null(address.Whole("row", "10", 0, 9, "The middle row is shown"));
        Assert.Null(address.Number("altitude", "NaN", 0, 1000, "km", "Heights near 200 km are shown"));
        Assert.Null(address.Word("view", new string('v', 500), ["A", "F"], "All views are shown"));
        Assert.Null(address.Day("date", "2031-05-09", _ => false, "The newest day is shown"));
        Assert.Equal((null, null), address.Stretch("2031-05-09T06:00:00Z", "2031-05-09T06:00:00Z"));
        Assert.Equal(
        [
            "The address says row=10; expected a whole number from 0 to 9. The middle row is shown.",
            "The address says altitude=NaN; expected a number from 0 to 1000 km. Heights near 200 km are shown.",
            $"The address says view={new string('v', 40)}…; expected one of A, F. All views are shown.",
            "The address says date=2031-05-09; expected a UTC day of a mission, such as 2031-05-09. The newest day is shown.",
            "The address says to=2031-05-09T06:00:00Z; expected a time after that of from. The plots show the whole range.",
        ], address.Notes);
    }
}
