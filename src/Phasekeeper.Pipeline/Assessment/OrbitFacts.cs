using System.Text.Json;
using Phasekeeper.Core.Flags.Inputs;
using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Assessment;

/// <summary>A step of the image shift, as stored. Times are TAI nanoseconds.</summary>
public sealed record StepFact(string View, long Time, double StepSamples, double SigmaSamples);

/// <summary>Spikes of one exposure and view, as stored.</summary>
public sealed record SpikeFact(string View, long Time, int Spikes, int Rows, double? LatitudeDeg, double? LongitudeDeg);

/// <summary>Lamp exposures of one view and line, as stored.</summary>
public sealed record LampFact(string View, string Line, int Expected, int Received);

/// <summary>
/// What the flag rules ask of an orbit and no other table holds: kept as JSON with the orbit's row, so that a rule can run over years without
/// touching a packet.
/// </summary>
public sealed record OrbitFacts
{
    private static readonly JsonSerializerOptions Options = new() { PropertyNamingPolicy = JsonNamingPolicy.CamelCase };

    /// <summary>Image-shift steps within the orbit.</summary>
    public IReadOnlyList<StepFact> Steps { get; init; } = [];
    /// <summary>Spikes per scene exposure and view.</summary>
    public IReadOnlyList<SpikeFact> Spikes { get; init; } = [];
    /// <summary>Lamp exposures.</summary>
    public IReadOnlyList<LampFact> Lamps { get; init; } = [];
    /// <summary>See <see cref="DataGaps.LongestS"/>.</summary>
    public double LongestGapS { get; init; }
    /// <summary>Largest latency, s; null unless live.</summary>
    public double? LatencyS { get; init; }
    /// <summary>True while mission time is inside the orbit.</summary>
    public bool Open { get; init; }

    /// <summary>JSON for the orbit's row.</summary>
    public string ToJson() => JsonSerializer.Serialize(this, Options);

    /// <summary>Facts of a stored orbit.</summary>
    public static OrbitFacts Of(OrbitRow row) => JsonSerializer.Deserialize<OrbitFacts>(row.Detail, Options) ?? new OrbitFacts();

    /// <summary>Collects the facts of an orbit that was just analysed.</summary>
    /// <param name="analysis">The orbit.</param>
    /// <param name="mission">Mission.</param>
    /// <param name="exposures">Its exposures.</param>
    /// <param name="coverage">Packets of the orbit and of those before it, as far back as a gap is followed.</param>
    /// <param name="missionTime">Time of the newest packet.</param>
    public static OrbitFacts Collect(OrbitAnalysis analysis, MissionState mission, ExposureCount exposures, IReadOnlyList<CoverageRow> coverage, Instant missionTime)
    {
        var input = analysis.Input;
        return OfFringes(analysis) with
        {
            Lamps = [.. LampsOf(analysis, exposures)],
            LongestGapS = DataGaps.LongestS(coverage, input.Start, input.End, missionTime),
            LatencyS = input.LatencyS.Count > 0 ? input.LatencyS.Max() : null,
            Open = !input.Complete,
        };
    }

    /// <summary>What fringes alone tell of an orbit: steps of the image shift, and spikes.</summary>
    public static OrbitFacts OfFringes(OrbitAnalysis analysis)
    {
        ArgumentNullException.ThrowIfNull(analysis);
        return new() { Steps = [.. analysis.Views.SelectMany(v => StepsOf(analysis, v))], Spikes = [.. SpikesOf(analysis.Input)] };
    }

    private static IEnumerable<StepFact> StepsOf(OrbitAnalysis analysis, string view)
    {
        if (analysis.Input.Fringes.Count == 0) yield break;
        var shift = analysis.Shift(view);
        foreach (var time in shift.Steps.Where(analysis.Contains))
        {
            var (before, after) = (shift.At(new Instant(time.TaiNanoseconds - 1)), shift.At(time));
            yield return new(view, time.TaiNanoseconds, after.ShiftSamples - before.ShiftSamples,
                Math.Sqrt(before.SigmaSamples * before.SigmaSamples + after.SigmaSamples * after.SigmaSamples));
        }
    }

    private static IEnumerable<SpikeFact> SpikesOf(OrbitInput input)
    {
        var places = input.Geometry.ToLookup(g => (g.Exposure, g.View));
        foreach (var exposure in input.Fringes.Where(f => f.Kind == ExposureKind.Scene).GroupBy(f => (f.Exposure, f.View, f.Time)).OrderBy(g => g.Key.Time).ThenBy(g => g.Key.View, StringComparer.Ordinal))
        {
            var place = places[(exposure.Key.Exposure, exposure.Key.View)].FirstOrDefault();
            yield return new(exposure.Key.View, exposure.Key.Time.TaiNanoseconds, exposure.Sum(f => f.SpikeSamples.Sum()),
                exposure.Sum(f => f.Status.Count(s => s != RowStatus.Missing)), place?.SatelliteLatitudeDeg, place?.SatelliteLongitudeDeg);
        }
    }

    // Where a whole stretch is missing, its lamps are not a matter of their own: lamps are expected in the share in which scenes arrived.
    private static IEnumerable<LampFact> LampsOf(OrbitAnalysis analysis, ExposureCount exposures)
    {
        var expectedScenes = exposures.ExpectedExposures - exposures.ExpectedLamps;
        foreach (var view in analysis.Views)
            foreach (var line in analysis.Lines)
            {
                var scenes = analysis.Exposures(ExposureKind.Scene, view, line).Count();
                var share = expectedScenes > 0 ? Math.Min(1, scenes / (double)expectedScenes) : 1;
                yield return new(view, line, (int)Math.Floor(exposures.ExpectedLamps * share), analysis.Exposures(ExposureKind.Lamp, view, line).Count(f => f.Status.Contains(RowStatus.Ok)));
            }
    }
}
