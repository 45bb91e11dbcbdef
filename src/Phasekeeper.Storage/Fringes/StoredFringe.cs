using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>The result of one exposure, view and line, with what it was made from.</summary>
public sealed record StoredFringe
{
    /// <summary>Id; 0 before it is stored.</summary>
    public long Id { get; init; }
    /// <summary>Hour bucket of its packets.</summary>
    public long Hour { get; init; }
    /// <summary>The result.</summary>
    public required FringeResult Result { get; init; }
    /// <summary>Orbit number; null when no ephemeris covers it.</summary>
    public int? Orbit { get; init; }
    /// <summary>Hash of the rows that went in: tells whether anything but the rows has changed without reading them.</summary>
    public required byte[] RowsHash { get; init; }
    /// <summary>Hash of everything that went in.</summary>
    public required byte[] InputHash { get; init; }
    /// <summary>Coefficient set.</summary>
    public long? CoefficientSet { get; init; }
    /// <summary>Auxiliary file that gave the ephemeris.</summary>
    public long? EphemerisFile { get; init; }
    /// <summary>Version of the program.</summary>
    public required string SoftwareVersion { get; init; }
}

/// <summary>One detector row of a result (contract.md section 4, <c>/api/v1/fringes</c>).</summary>
/// <param name="Fringe">The exposure.</param>
/// <param name="Row">Detector row.</param>
public readonly record struct StoredFringeRow(StoredFringe Fringe, int Row)
{
    /// <summary>Time.</summary>
    public Instant Time => Fringe.Result.Time;
    /// <summary>Phase, rad; NaN when missing.</summary>
    public double PhaseRad => Fringe.Result.PhaseRad[Row];
    /// <summary>Its 1σ, rad.</summary>
    public double PhaseSigmaRad => Fringe.Result.PhaseSigmaRad[Row];
    /// <summary>Visibility.</summary>
    public double Visibility => Fringe.Result.Visibility[Row];
    /// <summary>Signal, electrons per sample.</summary>
    public double SignalElectrons => Fringe.Result.SignalElectrons[Row];
    /// <summary>χ² per degree of freedom.</summary>
    public double ChiSquare => Fringe.Result.ChiSquare[Row];
    /// <summary>Masked samples.</summary>
    public int MaskedSamples => Fringe.Result.MaskedSamples[Row];
    /// <summary>Motion taken out, m/s.</summary>
    public double VelocityRemovedMs => Fringe.Result.VelocityRemovedMs[Row];
    /// <summary>Status.</summary>
    public RowStatus Status => Fringe.Result.Status[Row];
}
