using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Assessment;

/// <summary>
/// The system's verdict on an orbit (contract.md section 4: usable, remarks, held, incomplete), with reasons. It advises: people decide, by the mission's rules.
/// </summary>
public static class OrbitVerdict
{
    // Chosen: an orbit that lacks more than this share of its exposures is not complete.
    private const double LeastComplete = 0.95;

    /// <summary>Verdict and reasons from the orbit's row and the flags that stand on it.</summary>
    public static (string Verdict, string Reasons) Of(OrbitRow orbit, IEnumerable<FlagRow> flags)
    {
        var standing = flags.Where(f => f.State != "withdrawn" && f.FirstOrbit <= orbit.Orbit && f.LastOrbit >= orbit.Orbit).ToArray();
        var critical = standing.Where(f => f.Severity == "critical").ToArray();
        if (critical.Length > 0) return ("held", Sentence(critical));
        if (!IsComplete(orbit) && Share(orbit) is { } share)
            return ("incomplete", FormattableString.Invariant($"{orbit.ReceivedExposures} of {orbit.ExpectedExposures} exposures, {share * 100:0} % of the rows that they promise."));
        var warnings = standing.Where(f => f.Severity == "warning").ToArray();
        if (warnings.Length > 0) return ("remarks", Sentence(warnings));
        // Rows are not counted (−1) where no cadence promises any; zero says that none was due.
        return orbit is { ExpectedRows: 0, ReceivedExposures: 0 } ? ("remarks", "No exposure was due: housekeeping only.") : ("usable", "");
    }

    /// <summary>Reason of the verdict before there is one.</summary>
    public const string NotYet = "Not assessed yet.";

    /// <summary>False when an orbit lacks so much of what its cadence promises that it counts as incomplete.</summary>
    public static bool IsComplete(OrbitRow orbit) => Share(orbit) is not { } share || share >= LeastComplete;

    private static double? Share(OrbitRow orbit) =>
        orbit.ExpectedRows > 0 ? orbit.ReceivedRows / (double)orbit.ExpectedRows
        : orbit.ExpectedExposures > 0 ? orbit.ReceivedExposures / (double)orbit.ExpectedExposures : null;

    private static string Sentence(FlagRow[] flags) => flags.Length == 1 ? flags[0].Message : $"{flags.Length} flags, first: {flags[0].Message}";
}
