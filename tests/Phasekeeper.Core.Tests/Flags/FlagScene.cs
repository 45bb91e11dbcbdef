using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Flags.Inputs;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;

namespace Phasekeeper.Core.Tests.Flags;

/// <summary>Orbits of 96 minutes from 2031-03-01 on, and inputs made of short lists.</summary>
internal static class FlagScene
{
    public const double OrbitS = 5760;
    public static readonly Instant Start = Instant.FromUtc(2031, 3, 1);

    public static OrbitSpan Span(int orbit) => new(orbit, Start.AddSeconds(orbit * OrbitS), Start.AddSeconds((orbit + 1) * OrbitS));
    public static Instant Middle(int orbit) => Start.AddSeconds((orbit + 0.5) * OrbitS);

    public static RuleInputs Inputs(int first, int last) => new()
    {
        FirstOrbit = first,
        LastOrbit = last,
        Orbits = new OrbitMap(Enumerable.Range(first, last - first + 1).Select(Span)),
        Coefficients = [.. Enumerable.Range(first, last - first + 1).Select(o => new CoefficientUse(o, "ground 1", o / 15.0))],
    };

    public static SeriesHistory Series(string tracker, string? view, string? line, string unit, IEnumerable<(int Orbit, double Value)> values, double sigma = double.NaN, double expected = double.NaN) =>
        new(new SeriesKey(tracker, view, line), unit, [.. values.OrderBy(v => v.Orbit).Select(v => SeriesPoint.Of(v.Orbit, Middle(v.Orbit), v.Value, sigma, expected))]);

    public static SeriesHistory Series(string tracker, string? view, string? line, string unit, params double[] values) =>
        Series(tracker, view, line, unit, values.Select((v, i) => (i, v)));

    public static RuleDeclaration Rule(string kind, params (string, double)[] parameters) => RuleCatalog.Of(kind).Declare(kind, parameters);
}
