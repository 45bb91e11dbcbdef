namespace Phasekeeper.Core.Fringes;

/// <summary>One exposure in work: its arrays, seen row by row.</summary>
internal readonly ref struct FrameRows
{
    public required FringePatterns Patterns { get; init; }
    public required FiducialNotches Notches { get; init; }
    public required FrameWork Work { get; init; }
    public required double VarianceFloor { get; init; }
    public required double SaturationElectrons { get; init; }
    /// <summary>False for flat exposures: only A is fitted.</summary>
    public required bool Fringes { get; init; }
    public int Rows => Patterns.Rows;
    public FiducialWindow Notch => Work.Notch;
    public Span<RowFit> Fits => Work.Fits;

    /// <summary>The arrays of a row.</summary>
    public RowData Row(int row)
    {
        int at = row * Patterns.Stride, n = Patterns.Stride;
        return new RowData
        {
            Electrons = Work.Electrons.AsSpan(at, n),
            Flat = Patterns.Flat.AsSpan(at, n),
            Cos = Work.Cos.AsSpan(at, n),
            Sin = Work.Sin.AsSpan(at, n),
            Notch = Work.Notch.Transmission,
            Offset = Patterns.Offset,
            Allowed = Work.Allowed.AsSpan(at, n),
            Use = Work.Use.AsSpan(at, n),
            VarianceFloor = VarianceFloor,
            SaturationElectrons = SaturationElectrons,
        };
    }
}
