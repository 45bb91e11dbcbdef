namespace Phasekeeper.Core.Fringes;

/// <summary>Working memory for one exposure of one view and line; reused, never shared between threads at the same time.</summary>
internal sealed class FrameWork
{
    public FrameWork(int rows, int samples)
    {
        var stride = FitKernel.Padded(samples);
        Electrons = new double[rows * stride];
        Allowed = new double[rows * stride];
        Use = new double[rows * stride];
        Cos = new double[rows * stride];
        Sin = new double[rows * stride];
        Notch = new double[stride];
        Slope = new double[stride];
        RowAllowed = new double[stride];
        Near = new int[samples];
        Fits = new RowFit[rows];
        Couplings = new ShiftCoupling[rows];
    }

    /// <summary>Counts turned into electrons above bias and dark.</summary>
    public double[] Electrons { get; }
    /// <summary>1 where a sample is good and not saturated.</summary>
    public double[] Allowed { get; }
    /// <summary>1 where a sample is used by the fit.</summary>
    public double[] Use { get; }
    /// <summary>Patterns with motion and fitted slope turned in.</summary>
    public double[] Cos { get; }
    /// <summary>See <see cref="Cos"/>.</summary>
    public double[] Sin { get; }
    /// <summary>q at the shift in use.</summary>
    public double[] Notch { get; }
    /// <summary>dq/ds at the shift in use, at the samples of <see cref="Near"/>.</summary>
    public double[] Slope { get; }
    /// <summary>One row of Allowed without the samples near fiducials.</summary>
    public double[] RowAllowed { get; }
    /// <summary>Indices of samples near fiducials.</summary>
    public int[] Near { get; }
    /// <summary>Fits of the rows.</summary>
    public RowFit[] Fits { get; }
    /// <summary>How each row's parameters follow the image shift.</summary>
    public ShiftCoupling[] Couplings { get; }
}
