namespace Phasekeeper.Core.Fringes;

/// <summary>One row of an exposure beside the model that the retrieval fitted to it, sample by sample, in counts as they were sent.</summary>
public sealed record FittedRow
{
    /// <summary>Status of the row's fit.</summary>
    public required RowStatus Status { get; init; }
    /// <summary>Counts as received; length N.</summary>
    public required double[] Counts { get; init; }
    /// <summary>Model: bias + (dark + q_i·f_i·A·[1 + V·m_i·cos θ_i])/gain, counts; NaN where nothing was fitted.</summary>
    public required double[] ModelCounts { get; init; }
    /// <summary>1σ of a sample about the model, counts: photons, dark, read noise and rounding.</summary>
    public required double[] SigmaCounts { get; init; }
    /// <summary>False for samples that the fit left out: bad, saturated, spikes.</summary>
    public required bool[] Used { get; init; }

    /// <summary>Counts minus model in units of its 1σ; NaN where nothing was fitted.</summary>
    public double[] Residuals()
    {
        var residuals = new double[Counts.Length];
        for (var i = 0; i < residuals.Length; i++) residuals[i] = (Counts[i] - ModelCounts[i]) / SigmaCounts[i];
        return residuals;
    }
}
