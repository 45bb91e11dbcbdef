using Phasekeeper.Core.Time;
using Phasekeeper.Demo.Scenario;

namespace Phasekeeper.Demo.Feed;

/// <summary>What a file of the feed is.</summary>
public enum FeedItemKind
{
    /// <summary>Packets of the last 24 h before the first "now".</summary>
    Recent,
    /// <summary>Packets of the days before that.</summary>
    History,
    /// <summary>A failed downlink that was repeated.</summary>
    Late,
    /// <summary>Packets measured since the first "now".</summary>
    Live,
    /// <summary>A newer orbit file, before the old one ends.</summary>
    Orbit,
}

/// <summary>One file that the feed hands over.</summary>
/// <param name="Kind">What it is.</param>
/// <param name="FileName">Name for the inbox.</param>
/// <param name="From">First moment covered.</param>
/// <param name="To">End, exclusive.</param>
/// <param name="Downlink">For a late one, the downlink that had failed.</param>
public sealed record FeedItem(FeedItemKind Kind, string FileName, Instant From, Instant To, ScenarioEvent? Downlink = null);
