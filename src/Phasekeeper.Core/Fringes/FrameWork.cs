namespace Phasekeeper.Core.Fringes;

/// <summary>
/// Working memory for one exposure of one view and line; reused, never shared between threads at the same time. Rows are worked on one after the other in the same arrays,
/// which stay in the processor's nearest cache.
/// </summary>
internal sealed class FrameWork(int rows, int samples)
{
    /// <summary>The row in work.</summary>
    public RowWork Row { get; } = new(FitKernel.Padded(samples));
    /// <summary>Rows from which the image shift is first told.</summary>
    public RowWork[] Scouts { get; } = [.. Enumerable.Range(0, ImageShiftFit.Scouts).Select(_ => new RowWork(FitKernel.Padded(samples)))];
    /// <summary>Counts of a row, padded with zeros, where a row's own array is no whole number of vectors.</summary>
    public ushort[] Counts { get; } = new ushort[FitKernel.Padded(samples)];
    /// <summary>Dark electrons of a sample of the exposure.</summary>
    public double DarkElectrons { get; set; }
    /// <summary>The fiducials at the shift in use.</summary>
    public FiducialWindow Notch { get; } = new(samples);
    /// <summary>Fits of the rows.</summary>
    public RowFit[] Fits { get; } = new RowFit[rows];
    /// <summary>What each row says of the image shift.</summary>
    public ShiftSums[] Shifts { get; } = new ShiftSums[rows];
    /// <summary>How each row's parameters follow the image shift.</summary>
    public ShiftCoupling[] Couplings { get; } = new ShiftCoupling[rows];
}

/// <summary>Arrays of one row that a fit fills; see <see cref="RowData"/>.</summary>
internal sealed class RowWork(int stride)
{
    public float[] Electrons { get; } = new float[stride];
    public float[] Allowed { get; } = new float[stride];
    public float[] Use { get; } = new float[stride];
    public float[] Cos { get; } = new float[stride];
    public float[] Sin { get; } = new float[stride];
}
