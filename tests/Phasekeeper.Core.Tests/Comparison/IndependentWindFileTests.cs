using Phasekeeper.Core.Comparison;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Tests.Comparison;

public sealed class IndependentWindFileTests
{
    private const string Header = "time,latitudeDeg,longitudeDeg,altitudeKm,eastwardMs,northwardMs,eastwardSigmaMs,northwardSigmaMs";

    [Fact]
    public void A_table_is_read_whatever_the_order_of_columns_and_lines()
    {
        var set = IndependentWindFile.Read("radar.csv",
            "# Meteor radar, invented\n\nsource,altitudeKm,time,latitudeDeg,longitudeDeg,northwardMs,eastwardMs,eastwardSigmaMs,northwardSigmaMs\r\n" +
            "S1,95,2031-04-12T03:15:00Z,42.5,350,-8,12.5,3,4\nS1,90,2031-04-12T03:15:00Z,42.5,350,1,2,3,0\n").Value;
        Assert.Equal(2, set.Winds.Count);
        Assert.Equal(new IndependentWind(Instant.FromUtc(2031, 4, 12, 3, 15), 42.5, -10, 90, 2, 1, 3, 0, "S1"), set.Winds[0]);
        var column = Assert.Single(WindColumn.Of(set.Winds));
        Assert.Equal([90, 95], column.Winds.Select(w => w.AltitudeKm));
    }

    [Fact]
    public void What_is_written_is_read_again()
    {
        IndependentWind[] winds = [new(Instant.FromUtc(2031, 4, 12), -33.25, 18.5, 88.5, -120.25, 7, 3.5, 4, "here")];
        Assert.Equal(winds, IndependentWindFile.Read("again.csv", IndependentWindFile.Write(winds, "two\nlines")).Value.Winds);
    }

    [Theory]
    [InlineData("2031-04-12T00:05:00")]
    [InlineData("2031-04-12")]
    [InlineData("2031-04-12T02:05:00+02:00")]
    public void A_time_that_may_be_local_is_not_taken_for_utc(string time) =>
        Assert.Contains("with its Z", Assert.Single(IndependentWindFile.Read("local.csv", $"{Header}\n{time},42,10,95,1,2,3,4\n").Errors).ToString(), StringComparison.Ordinal);

    [Fact]
    public void All_mistakes_are_told_together_with_line_found_and_expected()
    {
        var read = IndependentWindFile.Read("bad.csv", Header + "\n12 April,42,10,95,1,2,3,4\n2031-04-12T00:00:00Z,95,10,95,1,x,3,4\n2031-04-12T00:00:00Z,42,10,95,1,2,3\n2031-04-12T00:00:00Z,42,10,2000,1,2,-3,4\n");
        Assert.False(read.Ok);
        Assert.Equal(
        [
            "bad.csv, line 2: found time '12 April'; expected ISO 8601 UTC with its Z, such as 2031-04-12T03:15:00Z.",
            "bad.csv, line 3: found latitudeDeg '95'; expected a number from -90 to 90 deg.",
            "bad.csv, line 3: found northwardMs 'x'; expected a number from -1000 to 1000 m/s.",
            "bad.csv, line 4: found 7 fields; expected 8 fields, as many as the line of column names has.",
            "bad.csv, line 5: found altitudeKm '2000'; expected a number from 0 to 1000 km.",
            "bad.csv, line 5: found eastwardSigmaMs '-3'; expected a number from 0 to 1000 m/s (0 = not stated).",
        ], read.Errors.Select(e => e.ToString()));
    }

    [Theory]
    [InlineData("", "no line of column names")]
    [InlineData(Header + "\n", "no winds below the column names")]
    [InlineData("time,latitudeDeg\n", "no column longitudeDeg")]
    [InlineData(Header + ",speed\n", "the column 'speed'")]
    [InlineData(Header + ",time\n", "the column 'time' 2 times")]
    [InlineData(Header + "\n2031-04-12T00:00:00Z,42,10,95,NaN,2,3,4\n", "eastwardMs 'NaN'")]
    [InlineData(Header + "\n2031-04-12T00:00:00Z,42,10,95,1,2,3,4\n2031-04-12T00:00:00Z,42,10,95,5,2,3,4\n", "a second wind of the time and place of line 2")]
    public void A_file_that_cannot_be_right_is_refused(string text, string found) =>
        Assert.Contains(IndependentWindFile.Read("f.csv", text).Errors, e => e.Found == found);

    [Fact]
    public void A_long_run_of_mistakes_is_cut()
    {
        var read = IndependentWindFile.Read("f.csv", Header + "\n" + string.Concat(Enumerable.Repeat("x\n", 1000)));
        Assert.Equal(IndependentWindFile.MostErrors + 1, read.Errors.Count);
        Assert.Contains("950 more lines", read.Errors[^1].Found, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("# note\n" + Header, true)]
    [InlineData("time,value\n", false)]
    [InlineData("BEGIN:VCALENDAR\n", false)]
    public void It_is_told_by_its_columns(string head, bool expected) => Assert.Equal(expected, IndependentWindFile.Recognizes(head));
}
