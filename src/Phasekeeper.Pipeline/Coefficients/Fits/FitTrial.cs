using Phasekeeper.Core.Coefficients.Evidence;
using Phasekeeper.Core.Coefficients.Fits;

namespace Phasekeeper.Pipeline.Coefficients.Fits;

/// <summary>A fit that was computed and not proposed.</summary>
/// <param name="Result">Numbers with their σ, the set with them in it, and what to weigh.</param>
/// <param name="From">The set that the fit began from, in force at the end of the window: id.</param>
/// <param name="FromName">Its name.</param>
/// <param name="Fitted">Orbits that were fitted, ascending.</param>
/// <param name="HeldOut">Orbits of the window that were held out among them, ascending.</param>
/// <param name="Residuals">Residuals with the set that it began from and with the fitted one.</param>
/// <param name="ComputedInS">Time that it took, s.</param>
public sealed record FitTrial(CoefficientFitResult Result, long From, string FromName, IReadOnlyList<int> Fitted, IReadOnlyList<int> HeldOut, IReadOnlyList<ResidualChange> Residuals, double ComputedInS)
{
    /// <summary>Names it while the program keeps it (<see cref="FitDesk.Tried"/>); empty before that.</summary>
    public string Id { get; init; } = "";
    /// <summary>What was fitted on which orbits.</summary>
    public FitRequest? Request { get; init; }
    /// <summary>What it rests on.</summary>
    public EvidenceGround? Ground { get; init; }
    /// <summary>Orbits of the window that were held out and are later than all that were fitted, ascending.</summary>
    public IReadOnlyList<int> HeldOutLater { get; init; } = [];
}
