namespace Phasekeeper.Core.Coefficients.Evidence;

/// <summary>Residuals of one orbit and kind of measurement, condensed: enough to join orbits.</summary>
/// <param name="Measure">One of <see cref="ResidualMeasures"/>.</param>
/// <param name="View">View; null where it does not apply.</param>
/// <param name="Line">Line; null where it does not apply.</param>
/// <param name="Unit">Unit of the residuals.</param>
/// <param name="Points">Residuals that are summed.</param>
/// <param name="Sum">Sum of the residuals.</param>
/// <param name="Squares">Sum of their squares.</param>
public readonly record struct OrbitResidual(string Measure, string? View, string? Line, string Unit, int Points, double Sum, double Squares)
{
    /// <summary>Measurements behind them: detector rows of scenes, winds, else exposures. What a set loses shows here.</summary>
    public int Measured { get; init; } = Points;

    /// <summary>What it is about.</summary>
    public (string Measure, string? View, string? Line) Key => (Measure, View, Line);

    /// <summary>Root mean square.</summary>
    public double Rms => Math.Sqrt(Squares / Points);
}
