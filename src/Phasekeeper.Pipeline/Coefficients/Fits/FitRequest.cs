using Phasekeeper.Core.Coefficients.Fits;

namespace Phasekeeper.Pipeline.Coefficients.Fits;

/// <summary>What is to be fitted on which orbits.</summary>
public sealed record FitRequest
{
    /// <summary>First orbit of the window.</summary>
    public required int FirstOrbit { get; init; }
    /// <summary>Last orbit of the window.</summary>
    public required int LastOrbit { get; init; }
    /// <summary>What is fitted; the other numbers stay as they are.</summary>
    public required IReadOnlyList<FitPart> Parts { get; init; }
    /// <summary>Every so-many-th orbit of the window is held out, and the last fifth of it besides, to judge the fit by; 0: none.</summary>
    public int HoldOutEvery { get; init; } = 4;

    /// <summary>How many of some complete orbits a request reads, and how many of these it holds out, between the fitted ones and after them.</summary>
    public static (int Read, int HeldOut) Counts(int orbits, int holdOutEvery) => FitWindow.Counts(orbits, holdOutEvery);
}
