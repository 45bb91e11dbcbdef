using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>One place where the record is not what it was.</summary>
/// <param name="Kind">Sort of finding, one word.</param>
/// <param name="First">First entry concerned; 0 where it is about no entry.</param>
/// <param name="Last">Last entry concerned.</param>
/// <param name="Found">What was found, a sentence that names the place.</param>
/// <param name="Expected">What was expected, a sentence.</param>
public sealed record RecordFinding(string Kind, long First, long Last, string Found, string Expected)
{
    /// <summary>The finding as text.</summary>
    public override string ToString() => $"{Found} {Expected}";
}

/// <summary>What a verification of the record found.</summary>
/// <param name="Entries">Entries read.</param>
/// <param name="Hash">Hash of the newest entry.</param>
/// <param name="Checked">Wall clock of its end.</param>
/// <param name="TookS">Seconds that it took.</param>
/// <param name="Findings">What is wrong; empty = the record is whole. At most <see cref="RecordVerifier.MostFindings"/>.</param>
public sealed record RecordReport(long Entries, byte[] Hash, Instant Checked, double TookS, IReadOnlyList<RecordFinding> Findings)
{
    /// <summary>What to do about findings.</summary>
    public const string Advice =
        "Keep a copy of the data folder as it is, find out who could write there, and bring back phasekeeper.db and record.anchor together from a backup made before. The program works on meanwhile; new entries are chained behind the newest.";

    /// <summary>True: every entry is as it was written, none is missing, none was put in.</summary>
    public bool IsWhole => Findings.Count == 0;
}
