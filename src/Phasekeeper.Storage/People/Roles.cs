namespace Phasekeeper.Storage;

/// <summary>
/// The words for what a person may do. viewer, operator, analyst and calibration-lead are a ladder: each may also do what the one before may. An administrator
/// looks after people and settings and may do an analyst's work, but decides about coefficients only where the role calibration-lead was given too: whoever
/// hands out roles should not thereby change winds.
/// </summary>
public static class Roles
{
    /// <summary>May look at everything but people.</summary>
    public const string Viewer = "viewer";

    /// <summary>Brings packets, works with flags, retries and discards quarantine.</summary>
    public const string Operator = "operator";

    /// <summary>Brings and forgets comparison sets, proposes coefficients.</summary>
    public const string Analyst = "analyst";

    /// <summary>Approves or declines coefficients.</summary>
    public const string CalibrationLead = "calibration-lead";

    /// <summary>People, tokens and settings.</summary>
    public const string Administrator = "administrator";

    /// <summary>The program itself; given to nobody.</summary>
    public const string System = "system";

    /// <summary>The roles that a person can be given, weakest first.</summary>
    public static readonly IReadOnlyList<string> All = [Viewer, Operator, Analyst, CalibrationLead, Administrator];

    /// <summary>Whether <paramref name="held"/> includes <paramref name="needed"/>. The program itself passes no such question: it decides nothing in a person's stead.</summary>
    public static bool Covers(string held, string needed) => held == needed || (held, needed) switch
    {
        (CalibrationLead or Administrator, Viewer or Operator or Analyst) => true,
        (Analyst, Viewer or Operator) => true,
        (Operator, Viewer) => true,
        _ => false,
    };

    /// <summary>Whether one of several held roles includes <paramref name="needed"/>.</summary>
    public static bool Cover(IEnumerable<string> held, string needed) => held.Any(role => Covers(role, needed));

    /// <summary>The role under which someone with several is recorded: calibration-lead before administrator, since it is the one that changes winds; else the strongest.</summary>
    public static string Leading(IReadOnlyCollection<string> held) =>
        held.Contains(CalibrationLead) ? CalibrationLead
        : All.LastOrDefault(held.Contains) ?? throw new ArgumentException($"Found the roles '{string.Join(", ", held)}'; expected at least one of {string.Join(", ", All)}.", nameof(held));
}
