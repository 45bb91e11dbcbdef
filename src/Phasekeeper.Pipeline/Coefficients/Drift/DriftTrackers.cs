using Phasekeeper.Core.Coefficients.Evidence;
using Phasekeeper.Core.Coefficients.Fits;

namespace Phasekeeper.Pipeline.Coefficients.Drift;

/// <summary>Which numbers stand behind a tracker that is charted against the coefficient set, and which residual shows whether new ones are better.</summary>
/// <param name="Part">What is fitted.</param>
/// <param name="Measure">See <see cref="ResidualMeasures"/>; null: no residual shows it, and the solution's own significance counts.</param>
/// <param name="Numbers">Where the numbers behind it stand in the contract's JSON.</param>
internal sealed record DriftTracker(FitPart Part, string? Measure, params string[] Numbers)
{
    /// <summary>The tracker of the zero wind; it is not charted, and claims its offsets itself.</summary>
    public const string ZeroWind = "zero-wind";

    /// <summary>By tracker id.</summary>
    public static IReadOnlyDictionary<string, DriftTracker> All { get; } = new Dictionary<string, DriftTracker>(StringComparer.Ordinal)
    {
        ["thermal-slope"] = new(FitPart.ThermalSlope, ResidualMeasures.LampWithinOrbit, "optics.thermal.radPerK"),
        ["thermal-lag"] = new(FitPart.ThermalLag, ResidualMeasures.LampWithinOrbit, "optics.thermal.lagS"),
        ["lamp-offset"] = new(FitPart.LampReference, ResidualMeasures.Lamp, "optics.lampPhaseRad"),
        ["view-difference"] = new(FitPart.LampReference, ResidualMeasures.Lamp, "optics.lampPhaseRad"),
        ["image-shift-slope"] = new(FitPart.ImageShift, ResidualMeasures.ImageShift, "imageShift.samplesPerK", "imageShift.offsetSamples"),
        ["scene-visibility"] = new(FitPart.Visibility, ResidualMeasures.SceneVisibility, "optics.visibility"),
        ["lamp-visibility"] = new(FitPart.Visibility, ResidualMeasures.LampVisibility, "optics.lampVisibility"),
        ["lamp-brightness"] = new(FitPart.Visibility, ResidualMeasures.LampBrightness, "optics.lampElectrons"),
        ["dark-rate"] = new(FitPart.Dark, ResidualMeasures.Dark, "dark.rateElectronsPerS", "dark.doublingK"),
        [ZeroWind] = new(FitPart.ZeroWind, null, "optics.zeroWindRad"),
    };
}
