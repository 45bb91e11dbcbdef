namespace Phasekeeper.Core.SignOff;

/// <summary>One thing that speaks against calling a day usable without remarks.</summary>
/// <param name="Code">Which rule, kebab-case; with the line or tracker where it applies: "good-share:green".</param>
/// <param name="Asks">The verdict that it asks for.</param>
/// <param name="Text">One sentence with numbers and units.</param>
/// <param name="Value">The number behind it; null when it is not one number.</param>
/// <param name="Limit">The limit that it passed.</param>
/// <param name="Unit">Unit of both; 1 for shares and counts.</param>
public sealed record DayReason(string Code, DayVerdict Asks, string Text, double? Value = null, double? Limit = null, string Unit = "1");

/// <summary>The verdict that the system proposes for a day. It advises: a person confirms or overrules it, by the mission's flight rules.</summary>
/// <param name="Verdict">The worst that any reason asks for.</param>
/// <param name="Reasons">The reasons, worst first.</param>
/// <param name="Notes">What else was looked at and found in order, with its numbers.</param>
public sealed record DayProposal(DayVerdict Verdict, IReadOnlyList<DayReason> Reasons, IReadOnlyList<string> Notes);
