using Phasekeeper.Core.Trackers;

namespace Phasekeeper.Core.Flags.Design;

/// <summary>How much there is to watch: turns a rate per series into flags a month.</summary>
public sealed record DesignContext
{
    /// <summary>Orbits a month (15 a day, 30 days: domain.md section 1).</summary>
    public double OrbitsPerMonth { get; init; } = 450;
    /// <summary>Length of an orbit, s (96 minutes: domain.md section 1).</summary>
    public double OrbitS { get; init; } = 5760;
    /// <summary>Number of telemetry channels that the definition describes.</summary>
    public int Channels { get; init; } = 40;
    /// <summary>Number of views.</summary>
    public int Views { get; init; } = 2;
    /// <summary>Number of lines.</summary>
    public int Lines { get; init; } = 2;
    /// <summary>Series per tracker; a tracker not listed has views × lines.</summary>
    public IReadOnlyDictionary<string, int> SeriesPerTracker { get; init; } = new Dictionary<string, int>();

    /// <summary>The context of a mission: series per tracker follow from views and lines.</summary>
    public static DesignContext Of(IEnumerable<TrackerInfo> trackers, int views, int lines, int channels) => new()
    {
        Views = views,
        Lines = lines,
        Channels = channels,
        SeriesPerTracker = trackers.ToDictionary(t => t.Id, t => (t.PerView ? views : 1) * (t.PerLine ? lines : 1), StringComparer.Ordinal),
    };

    /// <summary>Number of series that a tracker rule watches.</summary>
    public int SeriesOf(RuleDeclaration rule)
    {
        var share = (rule.View is null ? 1.0 : 1.0 / Views) * (rule.Line is null ? 1.0 : 1.0 / Lines);
        return rule.Trackers.Sum(t => Math.Max(1, (int)Math.Ceiling(SeriesPerTracker.GetValueOrDefault(t, Views * Lines) * share)));
    }

    /// <summary>Number of channels that a channel rule watches: all, or as many as it names.</summary>
    public int ChannelsOf(RuleDeclaration rule) => rule.Channels.Count == 0 || rule.Channels.Any(c => c.Contains('*', StringComparison.Ordinal)) ? Channels : rule.Channels.Count;
}
