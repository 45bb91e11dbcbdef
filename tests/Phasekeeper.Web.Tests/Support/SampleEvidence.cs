using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Coefficients.Evidence;
using Phasekeeper.Core.Coefficients.Fits;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Web.Tests.Support;

/// <summary>Evidence for pages: a fit of the thermal lag of view F, green, on four orbits with two held out.</summary>
public static class SampleEvidence
{
    /// <summary>First orbit that was looked at.</summary>
    public const int FirstOrbit = 4600;

    /// <summary>Start of it.</summary>
    public static readonly Instant Start = Instant.FromUtc(2031, 5, 9);

    /// <summary>The same with two orbits held out after those of the fit, on which the proposed set loses measurements of the lamp.</summary>
    public static ProposalEvidence WithLater(long against, string againstName, double lagAfterS = 431)
    {
        var evidence = Of(against, againstName, lagAfterS);
        var later = new ResidualFigures(2, 260, 13, 6, 11, 0.5, 0.05) { MeasuredBefore = 300, MeasuredAfter = 260, Lost = 40, MostLostOrbit = 4607 };
        return evidence with
        {
            HeldOutLaterOrbits = [4606, 4607],
            Residuals =
            [
                new(ResidualMeasures.ScenePhase, "F", "green", "m/s", new(4, 4, 7, 7, 6, 6, 0.01), new(2, 2, 6, 6.001, 6, 6, 0.01)) { HeldOutLater = new(2, 2, 6, 17, 6, 17, 0.3) { MeasuredBefore = 640, MeasuredAfter = 640 } },
                evidence.Residuals[0] with { HeldOutLater = later }, .. evidence.Residuals.Skip(1),
            ],
            ResidualOrbits = [.. evidence.ResidualOrbits, .. Enumerable.Range(6, 2).Select(i => new ResidualOrbit(FirstOrbit + i, Start.AddSeconds(5760.0 * i), true, ResidualMeasures.Lamp, "F", "green", 12 + i, 4 + i) { Later = true })],
            FlagSeriesContinued = 31,
            FlagSeriesBegunAnew = 4,
        };
    }

    /// <summary>The evidence.</summary>
    public static ProposalEvidence Of(long against, string againstName, double lagAfterS = 431) => new()
    {
        Against = against,
        AgainstName = againstName,
        FittedOrbits = [4600, 4601, 4603, 4604],
        HeldOutOrbits = [4602, 4605],
        Numbers = [new(FitPart.ThermalLag, "optics.thermal.lagS", "F", "green", null, "s", 427.8, lagAfterS, 0.5, 600, 3, 4)],
        Residuals =
        [
            new(ResidualMeasures.Lamp, "F", "green", "m/s", new(4, 600, 12, 4, 11, 0.1, 0.05), new(2, 300, 12.5, 5, 11.2, 0.4, 0.05)),
            new(ResidualMeasures.ImageShift, "F", null, "samples", new(4, 600, 0.02, 0.0201, 0, 0, 0.04), new(2, 300, 0.02, 0.026, 0, 0, 0.1)),
            new(ResidualMeasures.Dark, null, null, "e-/s", new(4, 8, 3, 3, 0, 0, double.NaN), null),
        ],
        ResidualOrbits = [.. Enumerable.Range(0, 6).Where(i => i != 3).SelectMany(i => new[] { ResidualMeasures.Lamp, ResidualMeasures.ImageShift }.Select(m =>
            new ResidualOrbit(FirstOrbit + i, Start.AddSeconds(5760.0 * i), i is 2 or 5, m, "F", m == ResidualMeasures.Lamp ? "green" : null, 12 + i, 4 + i)))],
        WindsByView = [new("F", "green", double.NaN, double.NaN, 4000, -2.5, 3.1, -14, 5.2), new("A", "green", double.NaN, double.NaN, 4100, 0, 0, 0, 5.4)],
        WindsByAltitude = [.. Enumerable.Range(4, 8).Select(b => new WindChangeGroup("F", "green", 20 * b, 20 * b + 20, 500, -2.5 + 0.1 * b, 3.1, -14, 5.2))],
        WindsByLatitude = [.. Enumerable.Range(-4, 8).Select(b => new WindChangeGroup("F", "green", 10 * b, 10 * b + 10, 500, -2.5, 3.1, -14, 5.2))],
        WindOrbits = [4601, 4602],
        WindsGained = 12,
        WindsLost = 7,
        FlagsAppearing = [new("visibility-loss", "warning", "scene-visibility", "F", "green", 4601, 4602, "Scene visibility of view F lost 9 %.")],
        FlagsVanishing = [new("thermal-residual", "critical", "thermal-residual-wind", "F", "green", 4600, 4605, "Thermal residual, view F, green, was 12.5 m/s.")],
        Reprocessing = new(4590, 4640, 51, [new(2031, 5, 8), new(2031, 5, 9), new(2031, 5, 10), new(2031, 5, 11)], 96, "at 1.9 s an orbit, measured when the last decision was followed"),
        Warnings = [new(FitWarningCodes.CrossesEvent, "The window holds a flag that stands: image-shift-step on orbit 4603.", "F"), new(FitWarningCodes.WorseHeldOut, "The image shift of view F is worse on the orbits held out.", "F")],
        ComputedInS = 41,
    };
}
