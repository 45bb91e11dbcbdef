using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Flags.Life;

namespace Phasekeeper.Core.SignOff;

/// <summary>One orbit that begins on the day.</summary>
/// <param name="Orbit">Number.</param>
/// <param name="ExpectedExposures">Exposures that the cadence promises.</param>
/// <param name="ReceivedExposures">Exposures that arrived.</param>
/// <param name="ExpectedRows">Rows that the exposures promise; 0 or less where none are promised.</param>
/// <param name="ReceivedRows">Rows that arrived.</param>
/// <param name="LongestGapS">Longest stretch without packets, s.</param>
/// <param name="Provisional">True while orbits on which its values lean have not arrived.</param>
/// <param name="Held">True when a person holds this orbit by itself.</param>
public sealed record DayOrbit(int Orbit, int ExpectedExposures, int ReceivedExposures, int ExpectedRows, int ReceivedRows, double LongestGapS, bool Provisional, bool Held);

/// <summary>A residual tracker over the day.</summary>
/// <param name="Tracker">Id of the tracker.</param>
/// <param name="Title">Its title.</param>
/// <param name="Unit">Its unit.</param>
/// <param name="Worst">Value farthest from zero; NaN when there is none.</param>
/// <param name="WorstOrbit">Its orbit.</param>
/// <param name="Orbits">Orbits with a value.</param>
/// <param name="WarningOrbits">Orbits with a value in state warning, and none in state critical.</param>
/// <param name="CriticalOrbits">Orbits with a value in state critical.</param>
public sealed record DayResidual(string Tracker, string Title, string Unit, double Worst, int WorstOrbit, int Orbits, int WarningOrbits, int CriticalOrbits);

/// <summary>A flag that stands on the day.</summary>
/// <param name="Id">Id.</param>
/// <param name="Severity">Severity.</param>
/// <param name="Life">How far people are with it.</param>
/// <param name="Activity">True when a planned activity explains it.</param>
/// <param name="Message">Its sentence.</param>
public sealed record DayFlag(string Id, FlagSeverity Severity, LifeState Life, bool Activity, string Message)
{
    /// <summary>True while it speaks against the day: neither explained nor settled by a person, nor by an activity.</summary>
    public bool IsOpen => !Activity && Life is LifeState.Raised or LifeState.Taken or LifeState.Reopened;
}

/// <summary>Winds along the line of sight of one line, over a day or an orbit.</summary>
/// <param name="Line">Line id.</param>
/// <param name="Values">Winds, one a detector row and exposure, bad ones included.</param>
/// <param name="Good">Those of good quality.</param>
/// <param name="SigmaMs">Median 1σ of the good ones, all terms of the error budget, m/s; of a day: the median of its orbits' medians. NaN without good ones.</param>
public sealed record LineWinds(string Line, long Values, long Good, double SigmaMs)
{
    /// <summary>Share of good ones, 0…1; NaN without any.</summary>
    public double GoodShare => Values == 0 ? double.NaN : Good / (double)Values;
}

/// <summary>What is usual for a line.</summary>
/// <param name="Line">Line id.</param>
/// <param name="Days">Days with winds behind it.</param>
/// <param name="GoodShare">Median of the days' shares of good winds, 0…1.</param>
/// <param name="SigmaMs">Median of the days' median 1σ, m/s.</param>
public sealed record UsualWinds(string Line, int Days, double GoodShare, double SigmaMs);

/// <summary>All that the proposed verdict of a UTC day rests on.</summary>
/// <param name="Date">The UTC day; orbits count for the day on which they begin.</param>
/// <param name="Orbits">Orbits with data, in order.</param>
/// <param name="Absent">Orbits of which nothing arrived.</param>
/// <param name="Residuals">Residual trackers.</param>
/// <param name="Flags">Flags that stand and touch these orbits.</param>
/// <param name="Winds">Winds by line.</param>
/// <param name="Usual">What is usual, by line.</param>
/// <param name="Waiting">Orbits with work that is not done: their values may be old or lacking.</param>
/// <param name="Former">Orbits that still have products of a former coefficient set.</param>
public sealed record DayFacts(
    DateOnly Date, IReadOnlyList<DayOrbit> Orbits, IReadOnlyList<int> Absent, IReadOnlyList<DayResidual> Residuals, IReadOnlyList<DayFlag> Flags, IReadOnlyList<LineWinds> Winds,
    IReadOnlyList<UsualWinds> Usual, IReadOnlyList<int> Waiting, IReadOnlyList<int> Former);
