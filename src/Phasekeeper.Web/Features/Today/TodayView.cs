using Phasekeeper.Core.Activities;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.SignOff;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Coefficients;

namespace Phasekeeper.Web.Features.Today;

/// <summary>What the morning page shows of a stretch of mission time.</summary>
/// <param name="From">Start.</param>
/// <param name="To">End: mission time, or the moment asked for.</param>
/// <param name="IsNow">True when the stretch ends with the newest packet.</param>
/// <param name="Answers">The morning's three questions, answered.</param>
/// <param name="Orbits">Orbits that touch the stretch, oldest first.</param>
/// <param name="Readings">State of the instrument at the end.</param>
/// <param name="Needs">What needs a person, worst first.</param>
/// <param name="InHand">What people have taken and not yet settled.</param>
/// <param name="Old">Which orbits still have products of a former coefficient set; null when none has.</param>
public sealed record TodayView(
    Instant From, Instant To, bool IsNow, IReadOnlyList<TodayAnswer> Answers, IReadOnlyList<TodayOrbit> Orbits,
    IReadOnlyList<TodayReading> Readings, IReadOnlyList<TodayNeed> Needs, IReadOnlyList<TodayNeed> InHand, OldProducts? Old = null)
{
    /// <summary>Planned activities that run at the end of the stretch, or come within a day of it, by start.</summary>
    public IReadOnlyList<PlannedActivity> Activities { get; init; } = [];
    /// <summary>Flags that nobody has and that planned activities explain: marked, so that they do not call anybody, and never hidden.</summary>
    public IReadOnlyList<TodayNeed> Explained { get; init; } = [];
    /// <summary>The newest day that waits for its sign-off; null when none does.</summary>
    public DayOutline? Unsigned { get; init; }
    /// <summary>The newest day that is signed off, and what changed since; null when none is.</summary>
    public DaySheet? Signed { get; init; }
    /// <summary>Earlier signed days that are other since, with the number of changes.</summary>
    public IReadOnlyList<(DateOnly Date, int Changes)> Changed { get; init; } = [];
    /// <summary>Orbits of the stretch whose winds people hold.</summary>
    public IReadOnlyDictionary<int, HoldKind> HeldOrbits { get; init; } = new Dictionary<int, HoldKind>();
}

/// <summary>One of the morning's questions with its answer.</summary>
/// <param name="Question">The question.</param>
/// <param name="State">Word of the state that answers it.</param>
/// <param name="Headline">The answer with its number.</param>
/// <param name="Detail">What stands behind it.</param>
/// <param name="Href">Where to look.</param>
public sealed record TodayAnswer(string Question, string State, string Headline, string Detail, string Href);

/// <summary>One orbit's cell.</summary>
/// <param name="Row">The orbit as stored.</param>
/// <param name="IsAssessed">False until rules have looked at the orbit for the first time: there is no verdict before.</param>
/// <param name="IsDue">True while rules have yet to look at it (again).</param>
/// <param name="IsRunning">True while mission time has not passed its end.</param>
/// <param name="ResidualMs">Worst thermal residual of its views and lines, m/s; NaN when there is none.</param>
/// <param name="ResidualState">State of that value; null when there is none.</param>
/// <param name="Visibility">Least scene visibility relative to reference; NaN when there is none.</param>
/// <param name="VisibilityState">State of that value.</param>
/// <param name="WorstSeverity">Severity of the worst flag that stands and that no activity explains; null = none.</param>
/// <param name="Flags">Number of flags that stand.</param>
public sealed record TodayOrbit(
    OrbitRow Row, bool IsAssessed, bool IsDue, bool IsRunning, double ResidualMs, string? ResidualState, double Visibility, string? VisibilityState, string? WorstSeverity, int Flags)
{
    /// <summary>Word of the verdict as it is shown; none is stated before the first.</summary>
    public string ShownVerdict => IsAssessed ? Row.Verdict : "provisional";

    /// <summary>True when so much is missing that the rules call it incomplete. Said only of orbits that are over and were assessed with all that has arrived.</summary>
    public bool IsIncomplete => IsAssessed && !IsRunning && Row.Verdict == "incomplete";

    /// <summary>True when something is missing, but not so much.</summary>
    public bool LacksLittle => IsAssessed && !IsRunning && !IsIncomplete && Arrived < 1;

    /// <summary>Share of the expected rows (or exposures) that arrived, 0…1; NaN when nothing was expected.</summary>
    public double Arrived => Row.ExpectedRows > 0 ? Math.Min(1, Row.ReceivedRows / (double)Row.ExpectedRows)
        : Row.ExpectedExposures > 0 ? Math.Min(1, Row.ReceivedExposures / (double)Row.ExpectedExposures) : double.NaN;
}

/// <summary>One reading of the instrument.</summary>
/// <param name="Name">What it is.</param>
/// <param name="Value">Value with unit.</param>
/// <param name="Context">What it is compared with.</param>
/// <param name="State">Word of its state; null = not judged.</param>
/// <param name="Href">Where to look.</param>
public sealed record TodayReading(string Name, string Value, string Context, string? State, string Href);

/// <summary>Something that needs a person.</summary>
/// <param name="State">Word of its severity or verdict.</param>
/// <param name="Text">One sentence.</param>
/// <param name="When">Where in time.</param>
/// <param name="Href">Where to act.</param>
/// <param name="More">Number of further flags of the same likely cause; 0 = none.</param>
/// <param name="MoreHref">Where they are listed.</param>
public sealed record TodayNeed(string State, string Text, string When, string Href, int More = 0, string MoreHref = "")
{
    /// <summary>Who has it; null = nobody.</summary>
    public string? Holder { get; init; }
    /// <summary>The flag that tells the story; null when it is no flag.</summary>
    public FlagRow? Flag { get; init; }
}
