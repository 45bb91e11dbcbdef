using System.Globalization;
using FsCheck.Xunit;
using Phasekeeper.Core.Time;
using Phasekeeper.Tests;

namespace Phasekeeper.Core.Tests.Time;

public class InstantTests
{
    // IERS Bulletin C (28 steps).
    [Fact]
    public void Leap_seconds_meet_the_published_table()
    {
        var rows = ReferenceFiles.ReadCsv("leap_seconds.csv");
        Assert.Equal(28, rows.Count);
        var before = LeapSeconds.FirstOffsetSeconds;
        foreach (var row in rows)
        {
            var day = int.Parse(row["mjd"], CultureInfo.InvariantCulture) - 40587;
            var offset = int.Parse(row["tai_minus_utc_s"], CultureInfo.InvariantCulture);
            Assert.Equal(offset, LeapSeconds.OffsetOnUnixDay(day));
            Assert.Equal(before, LeapSeconds.OffsetOnUnixDay(day - 1));
            Assert.Equal(86400 + offset - before, LeapSeconds.SecondsInUnixDay(day - 1));
            Assert.Equal(row["utc_date_from"] + "T00:00:00Z", Instant.FromUnixDay(day, 0).ToString());
            before = offset;
        }
    }

    // CCSDS 301.0-B-4 cases: seconds of TAI since 1958-01-01, also by astropy.
    [Fact]
    public void Utc_meets_the_reference_seconds_of_tai()
    {
        var checkedRows = 0;
        foreach (var row in ReferenceFiles.ReadCsv("ccsds_time_codes.csv").Where(r => r["tai_seconds_since_1958_01_01"] != ""))
        {
            // 1958-01-01 is 4383 days before 1970-01-01.
            var nanoseconds = (long)((decimal.Parse(row["tai_seconds_since_1958_01_01"], CultureInfo.InvariantCulture) - 4383m * 86400) * 1_000_000_000m);
            Assert.Equal(nanoseconds, Instant.ParseUtc(row["utc"]).TaiNanoseconds);
            Assert.Equal(Instant.ParseUtc(row["utc"]), Instant.ParseUtc(new Instant(nanoseconds).ToString()));
            checkedRows++;
        }
        Assert.True(checkedRows >= 10);
    }

    [Theory]
    [InlineData("2016-12-31T23:59:60Z", "2016-12-31T23:59:60Z")]
    [InlineData("2016-12-31T23:59:60.999999999Z", "2016-12-31T23:59:60.999999999Z")]
    [InlineData("2017-01-01T00:00:00Z", "2017-01-01T00:00:00Z")]
    [InlineData("2031-080T12:00:00.25", "2031-03-21T12:00:00.250Z")]
    [InlineData("2028-366", "2028-12-31T00:00:00Z")]
    [InlineData("2031-03-21", "2031-03-21T00:00:00Z")]
    [InlineData("2031-03-21 06:07", "2031-03-21T06:07:00Z")]
    [InlineData("2031-03-21T06:07:08+02:00", "2031-03-21T04:07:08Z")]
    [InlineData("2017-01-01T00:30:00+01:00", "2016-12-31T23:30:00Z")]
    [InlineData("2016-12-31T23:30:00-01:00", "2017-01-01T00:30:00Z")]
    [InlineData("1969-12-31T23:59:59.5Z", "1969-12-31T23:59:59.500Z")]
    public void Times_are_read_and_written(string text, string expected) => Assert.Equal(expected, Instant.ParseUtc(text).ToString());

    [Theory]
    [InlineData("")]
    [InlineData("yesterday")]
    [InlineData("2015-12-31T23:59:60Z")]
    [InlineData("2016-12-31T12:59:60Z")]
    [InlineData("2031-02-29")]
    [InlineData("2031-366")]
    [InlineData("2031-000")]
    [InlineData("2031-03-21T24:00:00")]
    [InlineData("2031-03-21T12:60:00")]
    [InlineData("2031-03-21T12:00:00.")]
    [InlineData("2031-03-21T")]
    [InlineData("2031-03-21T12:00:00+25:00")]
    [InlineData("1500-01-01")]
    public void What_is_no_time_is_refused(string text)
    {
        Assert.False(Instant.TryParseUtc(text, out _));
        Assert.Contains("expected ISO 8601 UTC", Assert.Throws<FormatException>(() => Instant.ParseUtc(text)).Message);
    }

    [Fact]
    public void Elapsed_time_counts_leap_seconds()
    {
        Assert.Equal(2, Instant.ParseUtc("2017-01-01T00:00:00Z") - Instant.ParseUtc("2016-12-31T23:59:59Z"));
        Assert.Equal(86400, Instant.ParseUtc("2031-01-01T00:00:00Z") - Instant.ParseUtc("2030-12-31T00:00:00Z"));
    }

    [Fact]
    public void The_ends_of_the_range_have_a_calendar_date_too()
    {
        Assert.StartsWith("1677-09-21T00:12:", Instant.MinValue.ToString());
        Assert.StartsWith("2262-04-11T23:46:", Instant.MaxValue.ToString());
    }

    [Fact]
    public void A_fraction_that_rounds_to_a_whole_second_belongs_to_the_next_day()
    {
        Assert.Equal("1970-01-02T00:00:00Z", Instant.FromUnixSeconds(86399.9999999999).ToString());
        Assert.Throws<ArgumentOutOfRangeException>(() => Instant.FromUnixSeconds(double.NaN));
        Assert.Throws<ArgumentOutOfRangeException>(() => Instant.FromUnixDay(0, 86400L * 1_000_000_000));
    }

    // TT = TAI + 32.184 s and GPS = TAI − 19 s by definition.
    [Theory]
    [InlineData(CalendarScale.Tai, "2017-01-01T00:00:37", "2017-01-01T00:00:00Z")]
    [InlineData(CalendarScale.Gps, "2017-01-01T00:00:18", "2017-01-01T00:00:00Z")]
    [InlineData(CalendarScale.Tt, "2017-01-01T00:01:09.184", "2017-01-01T00:00:00Z")]
    [InlineData(CalendarScale.Gps, "1980-01-06T00:00:00", "1980-01-06T00:00:00Z")]
    [InlineData(CalendarScale.Utc, "2016-12-31T23:59:60", "2016-12-31T23:59:60Z")]
    public void Other_time_scales_are_read(CalendarScale scale, string text, string utc)
    {
        Assert.True(Instant.TryParse(text, scale, out var time));
        Assert.Equal(utc, time.ToString());
    }

    [Fact]
    public void A_scale_without_leap_seconds_has_no_second_sixty()
    {
        Assert.False(Instant.TryParse("2016-12-31T23:59:60", CalendarScale.Tai, out _));
    }

    [Property]
    public void Text_and_calendar_round_trips_keep_every_nanosecond(long nanoseconds)
    {
        // 1700 to 2240.
        var time = new Instant(nanoseconds % 8_500_000_000_000_000_000);
        Assert.Equal(time, Instant.ParseUtc(time.ToString()));
        var (day, nanos) = time.ToUnixDay();
        Assert.Equal(time, Instant.FromUnixDay(day, nanos));
    }

    [Fact]
    public void Stretches_that_touch_or_overlap_become_one()
    {
        var t = Instant.FromUtc(2031, 1, 1);
        TimeStretch S(double a, double b) => new(t.AddSeconds(a), t.AddSeconds(b));
        Assert.Equal([S(0, 20), S(30, 40)], TimeStretch.Union([S(30, 40), S(5, 10), S(0, 10), S(10, 20)]));
    }
}
