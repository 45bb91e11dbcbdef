using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Coefficients.Fits;

/// <summary>Fits coefficients on a window of orbits: to look at, or to propose.</summary>
public sealed class FitDesk
{
    /// <summary>Fits and stores nothing.</summary>
    /// <exception cref="DecisionRefusedException">There is nothing to fit, or too much.</exception>
    public Task<FitTrial> TryAsync(FitRequest request, CancellationToken cancel = default) => throw new DecisionRefusedException(RefusalKind.Conflict, "Fits are being built.");

    /// <summary>Fits and proposes the set; gives its id. Its evidence follows in the background.</summary>
    /// <param name="request">What is fitted on which orbits.</param>
    /// <param name="name">Name of the set.</param>
    /// <param name="fromOrbit">Orbit from which it is to be valid; null: the first of the window.</param>
    /// <param name="reason">Why.</param>
    /// <param name="actor">Who proposes.</param>
    /// <param name="cancel">Gives up.</param>
    /// <exception cref="DecisionRefusedException">There is nothing to fit, or too much, or it cannot be proposed.</exception>
    public Task<long> ProposeAsync(FitRequest request, string name, int? fromOrbit, string reason, Actor actor, CancellationToken cancel = default) =>
        throw new DecisionRefusedException(RefusalKind.Conflict, "Fits are being built.");
}
