using Phasekeeper.Core.Winds;
using Phasekeeper.Demo.Scenario;

namespace Phasekeeper.Demo.Tests.Winds;

/// <summary>A mean over seeds and its 1σ from their scatter.</summary>
public readonly record struct SeedMean(double Value, double Sigma)
{
    /// <summary>Mean weighted by <paramref name="count"/>.</summary>
    public static SeedMean Of<T>(IReadOnlyCollection<T> seeds, Func<T, double> value, Func<T, int> count)
    {
        double weights = seeds.Sum(count), mean = seeds.Sum(f => count(f) * value(f)) / weights;
        var scatter = seeds.Sum(f => Math.Pow(count(f) * (value(f) - mean), 2));
        return new(mean, seeds.Count < 2 ? double.NaN : Math.Sqrt(scatter * seeds.Count / (seeds.Count - 1)) / weights);
    }

    /// <summary>The root of a mean square.</summary>
    public SeedMean Root() => new(Math.Sqrt(Value), 0.5 * Sigma / Math.Sqrt(Value));
}

/// <summary>Good winds of one line, light and band of altitude; the figures of each seed.</summary>
public sealed record WindCell(string Line, Sunlight Light, double LowKm, double HighKm, IReadOnlyList<WindFigures> Seeds)
{
    public int Count => Seeds.Sum(f => f.Count);
    public SeedMean BiasMs => SeedMean.Of(Seeds, f => f.BiasMs, f => f.Count);
    public SeedMean KernelRatio => SeedMean.Of(Seeds, f => f.KernelRatio * f.KernelRatio, f => f.Count).Root();
    public SeedMean PointRatio => SeedMean.Of(Seeds, f => f.PointRatio * f.PointRatio, f => f.Count).Root();
}

/// <summary>
/// Good winds of some seeds of the scenario, a day each, against what was put in. One day's waves and tides lie where they lie, so its errors lean together: a seed is one draw, and only
/// the mean over seeds with the seeds' own scatter tells whether winds are biased or their σ is wrong.
/// </summary>
public sealed class SeedPool
{
    public const double FromHours = 24, Hours = 30;
    private const int FewWinds = 20;

    public SeedPool(ulong firstSeed, int seeds)
    {
        var cells = new SortedDictionary<(string Line, double Low, double High, Sunlight Light), List<WindFigures>>();
        var vectors = new SortedDictionary<string, List<VectorFigures>>(StringComparer.Ordinal);
        for (var s = 0; s < seeds; s++)
        {
            var generator = new ScenarioGenerator(DemoScenario.Default, firstSeed + (ulong)s, events: []);
            var profiles = new ScenarioWinds(new ScenarioMission(generator, FromHours, FromHours + Hours), Corrections.All).Retrieve();
            var truth = new ScenarioTruth(generator);
            var good = WindComparison.Compare(profiles, truth).Where(e => e.Wind.Quality == WindQuality.Good).ToArray();
            foreach (var (line, low, high) in WindComparison.Bands)
                foreach (var light in Enum.GetValues<Sunlight>())
                {
                    var cell = good.Where(e => e.Line == line && e.Light == light && e.Wind.AltitudeKm >= low && e.Wind.AltitudeKm < high).ToArray();
                    if (cell.Length < FewWinds) continue;
                    if (!cells.TryGetValue((line, low, high, light), out var list)) cells[(line, low, high, light)] = list = [];
                    list.Add(WindFigures.Of(cell));
                }
            foreach (var line in new[] { "green", "red" })
            {
                if (!vectors.TryGetValue(line, out var list)) vectors[line] = list = [];
                list.Add(VectorFigures.Of(profiles, truth, line));
            }
        }
        Cells = [.. cells.Select(c => new WindCell(c.Key.Line, c.Key.Light, c.Key.Low, c.Key.High, c.Value))];
        Vectors = vectors.ToDictionary(v => v.Key, v => (IReadOnlyList<VectorFigures>)v.Value);
    }

    public IReadOnlyList<WindCell> Cells { get; }

    /// <summary>Vectors of each line, one entry a seed.</summary>
    public IReadOnlyDictionary<string, IReadOnlyList<VectorFigures>> Vectors { get; }
}
