using Phasekeeper.Core.Coefficients.Evidence;
using Phasekeeper.Core.Coefficients.Fits;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.Coefficients;

/// <summary>Names of coefficients, residuals and parts of a fit as people say them.</summary>
public static class CoefficientWords
{
    /// <summary>A number of a set; a name that is not known as it stands in the contract's JSON.</summary>
    public static string Number(string number) => number switch
    {
        "dark.biasCounts" => "bias",
        "dark.rateElectronsPerS" => "dark rate",
        "dark.referenceC" => "dark rate: reference temperature",
        "dark.doublingK" => "dark rate: doubles every",
        "optics.distortionRad" => "phase distortion",
        "optics.zeroWindRad" => "zero-wind phase",
        "optics.visibility" => "scene visibility",
        "optics.envelope" => "visibility envelope",
        "optics.thermal.radPerK" => "thermal slope k",
        "optics.thermal.lagS" => "thermal lag τ",
        "optics.thermal.referenceC" => "thermal reference temperature",
        "optics.lampRatio" => "lamp ratio ρ",
        "optics.lampPhaseRad" => "lamp reference phase",
        "optics.lampElectrons" => "lamp brightness",
        "optics.lampVisibility" => "lamp visibility",
        "optics.flat" => "flat field",
        "imageShift.samplesPerK" => "image shift: slope",
        "imageShift.referenceC" => "image shift: reference temperature",
        "imageShift.offsetSamples" => "image shift: offset",
        "badSamples" => "bad samples",
        _ => number,
    };

    /// <summary>The look of a set's state or of a decision.</summary>
    public static string Chip(string state) => state == CoefficientDecision.Proposed ? "waiting" : CoefficientDecision.PutsInForce(state) ? "good" : "discarded";

    /// <summary>A kind of residual.</summary>
    public static string Measure(string measure) => measure switch
    {
        ResidualMeasures.ScenePhase => "scene phase",
        ResidualMeasures.GreenRed => "difference of the lines",
        ResidualMeasures.SceneTemperature => "scene phase with temperature",
        ResidualMeasures.WindGreenRed => "difference of the lines' winds",
        ResidualMeasures.WindGreenRedTemperature => "difference of the lines' winds with temperature",
        ResidualMeasures.WindLegs => "difference of the legs' winds",
        ResidualMeasures.Lamp => "lamp phase",
        ResidualMeasures.LampWithinOrbit => "lamp phase within the orbit",
        ResidualMeasures.ImageShift => "image shift",
        ResidualMeasures.Dark => "dark signal",
        ResidualMeasures.SceneVisibility => "scene visibility",
        ResidualMeasures.LampVisibility => "lamp visibility",
        ResidualMeasures.LampBrightness => "lamp brightness",
        _ => measure,
    };

    /// <summary>What a kind of residual is, a sentence; null where there is none to say.</summary>
    public static string? MeasureMeaning(string measure) => measure switch
    {
        ResidualMeasures.ScenePhase => "Corrected scene phase as a speed, one median an orbit: zero wind, distortion and whatever else moves all winds of a view and line. The orbit's mean wind is in it: it shows by how much winds move, not whether that is better.",
        ResidualMeasures.GreenRed => "First line minus second where both have a phase in the same row of the same exposure, one median an orbit: what is off in one line and not in the other, with most of the wind taken out. The lines see other heights along a ray, so changes within 5 m/s say nothing.",
        ResidualMeasures.SceneTemperature => "The part of the scene phase that follows the lagged temperature over the orbit, as a speed: slope, lag and lamp ratio, also where both lines are off alike. The winds' own change from day to night is in it: it shows by how much winds move, not whether that is better.",
        ResidualMeasures.WindGreenRed => "The tracker of the lines' difference of winds, on the orbits whose winds were made with both sets.",
        ResidualMeasures.WindGreenRedTemperature => "The part of the lines' difference of winds that follows the lagged temperature over the orbit: slope, lag and lamp ratio of one line against the other's.",
        ResidualMeasures.WindLegs => "The tracker of the eastward winds' difference of the two legs, on the orbits whose winds were made with both sets: tides are in it, and zero wind and yaw.",
        ResidualMeasures.Lamp => "The lamp's drift minus what thermal slope and lag say, its mean included: that is what the lamp reference is about.",
        ResidualMeasures.LampWithinOrbit => "The same about each orbit's own mean: what slope and lag leave over an orbit.",
        ResidualMeasures.ImageShift => "The measured image shift minus its law.",
        ResidualMeasures.Dark => "The dark signal minus its law.",
        ResidualMeasures.SceneVisibility or ResidualMeasures.LampVisibility or ResidualMeasures.LampBrightness => "Relative to its reference, minus 1.",
        _ => null,
    };

    /// <summary>A part of a fit, and what it determines from what, a sentence.</summary>
    public static (string Title, string What) Part(FitPart part) => part switch
    {
        FitPart.ThermalSlope => ("Thermal slope", "How far the fringes move per kelvin of the interferometer's lagged temperature, from the lamp's phase over each orbit, for every view and line."),
        FitPart.ThermalLag => ("Thermal lag", "How long the optics take to follow the temperature, from the shape of the lamp's drift over each orbit."),
        FitPart.LampReference => ("Lamp reference", "The lamp's phase at the reference temperature: takes up the slow ageing that the lamp offset shows."),
        FitPart.ImageShift => ("Image shift law", "Offset and slope of the image shift against the bench temperature, from the fiducials, for every view."),
        FitPart.Dark => ("Dark law", "Dark rate at the reference temperature and how quickly it doubles, from dark exposures."),
        FitPart.ZeroWind => ("Zero wind", "Moves the zero-wind phases by the offset that the zero-wind tracker claims; stays as it is until the tracker claims one."),
        FitPart.Visibility => ("Visibility and brightness", "The references of scene and lamp visibility and of the lamp's brightness that trackers and flags compare with; winds hardly change."),
        FitPart.BadSamples => ("Bad samples", "Adds samples that have become hot to the map of those that are masked."),
        _ => throw new ArgumentOutOfRangeException(nameof(part), part, "Expected a part of a fit."),
    };

    /// <summary>View and line as one word group; "all" for none.</summary>
    public static string Where(string? view, string? line) => (view, line) switch
    {
        (null, null) => "all",
        (null, _) => line!,
        (_, null) => $"view {view}",
        _ => $"view {view}, {line}",
    };
}
