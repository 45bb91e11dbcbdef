using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Trackers;

namespace Phasekeeper.Core.Tests.Coefficients.Evidence;

/// <summary>Scenes as another set would retrieve them, and as an instrument with a second line would.</summary>
internal static class ScenesWith
{
    /// <summary>The orbit with another set: its zero-wind phases are taken out of the scenes instead of those before (domain.md section 2: a scene's phase holds Z once).</summary>
    public static OrbitInput Retrieved(OrbitInput orbit, CoefficientSet after) => orbit with
    {
        Coefficients = after,
        Fringes = [.. orbit.Fringes.Select(f => f.Kind != ExposureKind.Scene ? f : f with
        {
            PhaseRad = [.. f.PhaseRad.Select((p, r) => Math.IEEERemainder(p - (after.OpticsOf(f.View, f.Line)!.ZeroWindRad[r] - orbit.Coefficients!.OpticsOf(f.View, f.Line)!.ZeroWindRad[r]), 2 * Math.PI))],
        })],
    };

    /// <summary>The same orbit with a second line that sees the same air with the same numbers.</summary>
    public static OrbitInput TwoLines(OrbitInput orbit)
    {
        FringeResult[] Twice(IEnumerable<FringeResult> fringes) => [.. fringes.SelectMany(f => new[] { f, f with { Line = "red" } })];
        return orbit with
        {
            Instrument = orbit.Instrument! with { Lines = [.. orbit.Instrument!.Lines, orbit.Instrument.Lines[0] with { Id = "red" }] },
            Coefficients = TwoLines(orbit.Coefficients!),
            Fringes = Twice(orbit.Fringes),
            NeighbourLamps = Twice(orbit.NeighbourLamps),
        };
    }

    private static CoefficientSet TwoLines(CoefficientSet set) => set with { Optics = [.. set.Optics.SelectMany(o => new[] { o, o with { Line = "red" } })] };

    /// <summary>Changes the optics of a line.</summary>
    public static CoefficientSet Changed(CoefficientSet set, string? line, Func<OpticsCoefficients, OpticsCoefficients> change) => set with { Optics = [.. set.Optics.Select(o => line is null || o.Line == line ? change(o) : o)] };
}
