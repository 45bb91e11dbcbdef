using Phasekeeper.Core.Coefficients.Evidence;
using Phasekeeper.Core.Coefficients.Fits;

namespace Phasekeeper.Pipeline.Coefficients.Drift;

/// <summary>Which numbers stand behind a tracker that is charted against the coefficient set, and which residual shows whether new ones are better.</summary>
/// <param name="Part">What is fitted.</param>
/// <param name="Measure">See <see cref="ResidualMeasures"/>.</param>
internal sealed record DriftTracker(FitPart Part, string Measure)
{
    /// <summary>By tracker id.</summary>
    public static IReadOnlyDictionary<string, DriftTracker> All { get; } = new Dictionary<string, DriftTracker>(StringComparer.Ordinal)
    {
        ["thermal-slope"] = new(FitPart.ThermalSlope, ResidualMeasures.LampWithinOrbit),
        ["thermal-lag"] = new(FitPart.ThermalLag, ResidualMeasures.LampWithinOrbit),
        ["lamp-offset"] = new(FitPart.LampReference, ResidualMeasures.Lamp),
        ["view-difference"] = new(FitPart.LampReference, ResidualMeasures.Lamp),
        ["image-shift-slope"] = new(FitPart.ImageShift, ResidualMeasures.ImageShift),
        ["lamp-visibility"] = new(FitPart.Visibility, ResidualMeasures.LampVisibility),
        ["lamp-brightness"] = new(FitPart.Visibility, ResidualMeasures.LampBrightness),
        ["dark-rate"] = new(FitPart.Dark, ResidualMeasures.Dark),
    };
}
