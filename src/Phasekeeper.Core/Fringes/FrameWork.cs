namespace Phasekeeper.Core.Fringes;

/// <summary>Working memory for one exposure of one view and line; reused, never shared between threads at the same time.</summary>
internal sealed class FrameWork
{
    public FrameWork(int rows, int samples)
    {
        var stride = FitKernel.Padded(samples);
        Electrons = new float[rows * stride];
        Allowed = new float[rows * stride];
        Use = new float[rows * stride];
        Cos = new float[rows * stride];
        Sin = new float[rows * stride];
        Counts = new ushort[stride];
        Notch = new FiducialWindow(samples);
        Fits = new RowFit[rows];
        Couplings = new ShiftCoupling[rows];
    }

    /// <summary>Counts turned into electrons above bias and dark.</summary>
    public float[] Electrons { get; }
    /// <summary>1 where a sample is good and not saturated.</summary>
    public float[] Allowed { get; }
    /// <summary>1 where a sample is used by the fit.</summary>
    public float[] Use { get; }
    /// <summary>Patterns with motion and fitted slope turned in.</summary>
    public float[] Cos { get; }
    /// <summary>See <see cref="Cos"/>.</summary>
    public float[] Sin { get; }
    /// <summary>Counts of a row, padded with zeros, where a row's own array is no whole number of vectors.</summary>
    public ushort[] Counts { get; }
    /// <summary>The fiducials at the shift in use.</summary>
    public FiducialWindow Notch { get; }
    /// <summary>Fits of the rows.</summary>
    public RowFit[] Fits { get; }
    /// <summary>How each row's parameters follow the image shift.</summary>
    public ShiftCoupling[] Couplings { get; }
}
