using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Flags.Inputs;

/// <summary>One orbit: from its ascending node (inclusive) to the next (exclusive). A UTC day for a mission without an orbit.</summary>
public readonly record struct OrbitSpan(int Number, Instant Start, Instant End);
