namespace Phasekeeper.Core.Fringes;

/// <summary>
/// The phase slope that all rows of a lamp exposure share: the offset of the fringe frequency. From each row's own slope with
/// its prior taken back out, weighted by information.
/// </summary>
internal sealed record CommonSlope(double RadPerSample, double Variance)
{
    /// <summary>Null when no row was fitted.</summary>
    public static CommonSlope? Of(ReadOnlySpan<RowFit> fits, double priorSigma)
    {
        double prior = 1 / (priorSigma * priorSigma), information = 0, sum = 0;
        foreach (ref readonly var fit in fits)
        {
            if (fit.Status != RowStatus.Ok) continue;
            var withPrior = 1 / fit.Factor.Quadratic(0, 0, 0, 1);
            information += withPrior - prior;
            sum += withPrior * (fit.TurnedSlope + fit.Parameters.Beta); // the prior pulls to zero and adds nothing to the sum
        }
        return information > 0 ? new CommonSlope(sum / information, 1 / information) : null;
    }
}
