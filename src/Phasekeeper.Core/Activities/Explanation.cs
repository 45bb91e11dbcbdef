namespace Phasekeeper.Core.Activities;

/// <summary>A planned activity that explains a flag.</summary>
/// <param name="ActivityId">Id of the activity (UID and, for a recurring one, the start of the occurrence).</param>
/// <param name="Summary">What the activity was.</param>
/// <param name="Whole">True when the whole flag lies within the activity and its settling time; false: only a part of it.</param>
public sealed record Explanation(string ActivityId, string Summary, bool Whole);
