using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Pipeline.Stages;

namespace Phasekeeper.Web.Features.Orbit;

/// <summary>One orbit read from the stores with the analysis that its plots share. An analysis is for one thread at a time: use <see cref="Gate"/>.</summary>
public sealed class OrbitContents(OrbitSlot slot, MissionState mission, OrbitSky? sky, OrbitAnalysis analysis)
{
    /// <summary>To be held while the analysis is used.</summary>
    public Lock Gate { get; } = new();
    /// <summary>The orbit.</summary>
    public OrbitSlot Slot { get; } = slot;
    /// <summary>The mission as it was when the orbit was read.</summary>
    public MissionState Mission { get; } = mission;
    /// <summary>Sun and shadow; null without an orbit file.</summary>
    public OrbitSky? Sky { get; } = sky;
    /// <summary>Drift and image shift.</summary>
    public OrbitAnalysis Analysis { get; } = analysis;

    /// <summary>Views and lines with coefficients that match a choice; null = all.</summary>
    public IReadOnlyList<OpticalChannel> Channels(string? view, string? line) =>
        [.. Analysis.Channels.Where(c => (string.IsNullOrEmpty(view) || c.View == view) && (string.IsNullOrEmpty(line) || c.Line.Id == line))];

    /// <summary>Exposures of the orbit in order of time.</summary>
    public IReadOnlyList<OrbitExposure> Exposures() =>
        [.. Analysis.Input.Fringes.GroupBy(f => (f.Time, f.Kind, f.Exposure)).OrderBy(g => g.Key.Time).ThenBy(g => g.Key.Exposure).Select(g => OrbitExposure.Of([.. g]))];

    /// <summary>The result of one exposure, view and line; null when it has none.</summary>
    public FringeResult? Result(long exposure, ExposureKind kind, string view, string line) =>
        Analysis.Input.Fringes.FirstOrDefault(f => f.Exposure == exposure && f.Kind == kind && f.View == view && f.Line == line);
}

/// <summary>An exposure as the list shows it: all its views and lines together.</summary>
/// <param name="Exposure">Number.</param>
/// <param name="Kind">Kind.</param>
/// <param name="Time">Middle of the exposure.</param>
/// <param name="IntegrationS">Integration time, s.</param>
/// <param name="Rows">Rows promised, all views and lines that arrived.</param>
/// <param name="Received">Rows that arrived.</param>
/// <param name="Retrieved">Rows with a valid result.</param>
/// <param name="PhaseSigmaRad">Median 1σ of the rows' phases, rad; NaN without any.</param>
/// <param name="Visibility">Median visibility; NaN without any.</param>
/// <param name="Spikes">Samples masked as spikes.</param>
public sealed record OrbitExposure(
    long Exposure, ExposureKind Kind, Instant Time, double IntegrationS, int Rows, int Received, int Retrieved, double PhaseSigmaRad, double Visibility, int Spikes)
{
    /// <summary>Puts the results of an exposure together.</summary>
    public static OrbitExposure Of(IReadOnlyList<FringeResult> results)
    {
        var first = results[0];
        return new(first.Exposure, first.Kind, first.Time, first.IntegrationS, results.Sum(r => r.Status.Length), results.Sum(r => r.Status.Count(s => s != RowStatus.Missing)),
            results.Sum(r => r.Status.Count(s => s == RowStatus.Ok)), Median(results.SelectMany(r => r.PhaseSigmaRad)), Median(results.SelectMany(r => r.Visibility)), results.Sum(r => r.SpikeSamples.Sum()));
    }

    private static double Median(IEnumerable<double> values)
    {
        var finite = values.Where(double.IsFinite).Order().ToArray();
        return finite.Length == 0 ? double.NaN : finite[finite.Length / 2];
    }
}
