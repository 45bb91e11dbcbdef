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

    /// <summary>The tracker of an id; null when there is none.</summary>
    public static ITracker? Find(string id) => ById.GetValueOrDefault(id);

    /// <summary>All values of one orbit, in the catalogue's order.</summary>
    public static IReadOnlyList<TrackerValue> Compute(OrbitInput input) => Compute(new OrbitAnalysis(input));

    /// <summary>All values of an orbit that has been analysed already.</summary>
    public static IReadOnlyList<TrackerValue> Compute(OrbitAnalysis analysis)
    {
        var output = new TrackerOutput(analysis.Input.Orbit, analysis.MiddleOfData, !analysis.Input.Complete);
        foreach (var tracker in All)
        {
            output.Begin(tracker.Info);
            tracker.Compute(analysis, output);
        }
        return output.Values;
    }
}
