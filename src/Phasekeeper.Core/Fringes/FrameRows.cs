namespace Phasekeeper.Core.Fringes;

/// <summary>One exposure in work: what all its rows have in common.</summary>
internal readonly ref struct FrameRows
{
    public required FringePatterns Patterns { get; init; }
    public required FrameWork Work { get; init; }
    public required double VarianceFloor { get; init; }
    public required double SaturationElectrons { get; init; }
    /// <summary>False for flat exposures: only A is fitted.</summary>
    public required bool Fringes { get; init; }

    public int Rows => Patterns.Rows;
    public Span<RowFit> Fits => Work.Fits;

    /// <summary>The arrays of a row in <paramref name="at"/>, to be filled by <see cref="RowLoad"/>.</summary>
    public RowData Row(int row, RowWork at) => new()
    {
        Electrons = at.Electrons,
        Flat = Patterns.Flat.AsSpan(row * Patterns.Stride, Patterns.Stride),
        Cos = at.Cos,
        Sin = at.Sin,
        Notch = Work.Notch.Transmission,
        Offset = Patterns.Offset,
        Allowed = at.Allowed,
        Use = at.Use,
        VarianceFloor = VarianceFloor,
        SaturationElectrons = SaturationElectrons,
    };
}
