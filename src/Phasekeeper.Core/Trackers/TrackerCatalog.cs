namespace Phasekeeper.Core.Trackers;

/// <summary>All trackers, in the order in which pages list them. A new tracker is one class and one line here.</summary>
public static class TrackerCatalog
{
    /// <summary>Every tracker.</summary>
    public static IReadOnlyList<ITracker> All { get; } =
    [
        new ThermalResidualWindTracker(),
        new ThermalResidualTracker(),
        new ThermalSlopeTracker(),
        new ThermalSlopeWindTracker(),
        new ThermalLagTracker(),
        new LampOffsetTracker(),
        new ViewDifferenceTracker(),
        new ImageShiftMeanTracker(),
        new ImageShiftSwingTracker(),
        new ImageShiftSlopeTracker(),
        new FringeFrequencyTracker(),
        new SceneVisibilityTracker(),
        new LampVisibilityTracker(),
        new LampBrightnessTracker(),
        new DarkRateTracker(),
        new HotSamplesTracker(),
        new SpikeRateTracker(),
        new ScenePhaseResidualTracker(),
        new GreenRedTracker(),
        new AscendingDescendingTracker(),
        new ZeroWindTracker(),
        new TangentHeightTracker(),
        new TopSideTracker(),
        new CompletenessTracker(),
        new PacketCompletenessTracker(),
        new SequenceGapsTracker(),
        new LatencyTracker(),
        new BetaAngleTracker(),
        new EclipseFractionTracker(),
        new InterferometerSwingTracker(),
        new BenchSwingTracker(),
        new SunlitShadowTracker(),
        new ChannelMinTracker(),
        new ChannelMeanTracker(),
        new ChannelMaxTracker(),
        new ChannelDutyTracker(),
        new ChannelChangesTracker(),
        new ChannelProfileTracker(),
    ];

    private static readonly Dictionary<string, ITracker> ById = All.ToDictionary(t => t.Info.Id, StringComparer.Ordinal);

    private static readonly IReadOnlySet<string>[] IdsBySource =
        [.. Enum.GetValues<TrackerSource>().Select(s => All.Where(t => t.Source == s).Select(t => t.Info.Id).ToHashSet(StringComparer.Ordinal))];

    /// <summary>The tracker of an id; null when there is none.</summary>
    public static ITracker? Find(string id) => ById.GetValueOrDefault(id);

    /// <summary>Ids of the trackers that are computed from one source.</summary>
    public static IReadOnlySet<string> IdsOf(TrackerSource source) => IdsBySource[(int)source];

    /// <summary>All values of one orbit, those from winds last, else in the catalogue's order.</summary>
    public static IReadOnlyList<TrackerValue> Compute(OrbitInput input)
    {
        var analysis = new OrbitAnalysis(input);
        return [.. Compute(analysis, TrackerSource.Measurements), .. Compute(analysis, TrackerSource.Winds), .. Compute(analysis, TrackerSource.ZeroWind)];
    }

    /// <summary>
    /// Values of an orbit that has been analysed already, of the trackers of one source. Winds lean on neighbouring orbits through their drift, so what comes from
    /// them is provisional until those are complete.
    /// </summary>
    public static IReadOnlyList<TrackerValue> Compute(OrbitAnalysis analysis, TrackerSource source)
    {
        var provisional = source != TrackerSource.Measurements ? !analysis.Input.NeighboursComplete : !analysis.Input.Complete;
        var output = new TrackerOutput(analysis.Input.Orbit, analysis.MiddleOfData, provisional);
        foreach (var tracker in All.Where(t => t.Source == source))
        {
            output.Begin(tracker.Info);
            tracker.Compute(analysis, output);
        }
        return output.Values;
    }
}
