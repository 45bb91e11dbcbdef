using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Activities;

/// <summary>One occurrence of a planned activity.</summary>
/// <param name="Id">Unique and stable: UID, and the occurrence's start when the event repeats.</param>
/// <param name="Kind">Kind; decides which flags it can explain.</param>
/// <param name="Summary">Title as people wrote it.</param>
/// <param name="From">Start (inclusive).</param>
/// <param name="To">End (exclusive).</param>
/// <param name="Description">Longer text; null = none.</param>
public sealed record PlannedActivity(string Id, ActivityKind Kind, string Summary, Instant From, Instant To, string? Description = null);
