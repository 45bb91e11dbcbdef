using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Flags.Inputs;

/// <summary>A stretch with data for which no orbit (or attitude) file has coverage.</summary>
/// <param name="What">"orbit" or "attitude".</param>
/// <param name="From">Start.</param>
/// <param name="To">End.</param>
public sealed record CoverageGap(string What, Instant From, Instant To);
