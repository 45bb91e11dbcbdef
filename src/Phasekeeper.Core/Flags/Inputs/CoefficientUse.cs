namespace Phasekeeper.Core.Flags.Inputs;

/// <summary>The coefficient set in force on an orbit.</summary>
/// <param name="Orbit">Orbit number.</param>
/// <param name="Set">Name of the set.</param>
/// <param name="AgeDays">Days from the set's validity start (or its last confirmation) to the orbit's start.</param>
public readonly record struct CoefficientUse(int Orbit, string Set, double AgeDays);
