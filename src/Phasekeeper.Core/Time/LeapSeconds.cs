namespace Phasekeeper.Core.Time;

/// <summary>
/// TAI minus UTC since 1972-01-01, in whole seconds.
/// Source: IERS Bulletin C (all announcements up to the one for 2017-01-01, the newest step; none announced since).
/// Later dates suppose no further leap second. Before 1972 the first value is used (packets of that age do not exist).
/// </summary>
public static class LeapSeconds
{
    /// <summary>TAI minus UTC before the first step of the table.</summary>
    public const int FirstOffsetSeconds = 10;

    // UTC day (days since 1970-01-01) on which the offset takes effect, and the offset from then on.
    private static readonly (int UnixDay, int Offset)[] Steps =
    [
        Step(1972, 1, 10), Step(1972, 7, 11), Step(1973, 1, 12), Step(1974, 1, 13), Step(1975, 1, 14), Step(1976, 1, 15),
        Step(1977, 1, 16), Step(1978, 1, 17), Step(1979, 1, 18), Step(1980, 1, 19), Step(1981, 7, 20), Step(1982, 7, 21),
        Step(1983, 7, 22), Step(1985, 7, 23), Step(1988, 1, 24), Step(1990, 1, 25), Step(1991, 1, 26), Step(1992, 7, 27),
        Step(1993, 7, 28), Step(1994, 7, 29), Step(1996, 1, 30), Step(1997, 7, 31), Step(1999, 1, 32), Step(2006, 1, 33),
        Step(2009, 1, 34), Step(2012, 7, 35), Step(2015, 7, 36), Step(2017, 1, 37),
    ];

    /// <summary>TAI − UTC in seconds for a UTC day given as days since 1970-01-01.</summary>
    public static int OffsetOnUnixDay(long unixDay)
    {
        for (var i = Steps.Length - 1; i >= 0; i--)
            if (unixDay >= Steps[i].UnixDay) return Steps[i].Offset;
        return FirstOffsetSeconds;
    }

    /// <summary>Length of a UTC day in seconds: 86400, or 86401 where a leap second ends it.</summary>
    public static int SecondsInUnixDay(long unixDay) =>
        86400 + OffsetOnUnixDay(unixDay + 1) - OffsetOnUnixDay(unixDay);

    private static (int, int) Step(int year, int month, int offset) =>
        (new DateOnly(year, month, 1).DayNumber - new DateOnly(1970, 1, 1).DayNumber, offset);
}
