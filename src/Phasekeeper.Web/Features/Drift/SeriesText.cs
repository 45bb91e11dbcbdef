using Phasekeeper.Core.Trackers;
using Phasekeeper.Packets.Decoding;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Web.Shared.Numbers;

namespace Phasekeeper.Web.Features.Drift;

/// <summary>A tracker series in an address and in words.</summary>
public static class SeriesText
{
    private const char Separator = '~';

    /// <summary>tracker~view~line~channel, empty ends left out.</summary>
    public static string Write(SeriesKey key) => string.Join(Separator, key.Tracker, key.View, key.Line, key.Channel).TrimEnd(Separator);

    /// <summary>Reads what <see cref="Write"/> wrote; null when its tracker is not known.</summary>
    public static SeriesKey? Read(string text)
    {
        var parts = text.Split(Separator, 4);
        if (TrackerCatalog.Find(parts[0]) is null) return null;
        string? Part(int i) => parts.Length > i && parts[i].Length > 0 ? parts[i] : null;
        return new SeriesKey(parts[0], Part(1), Part(2), Part(3));
    }

    /// <summary>"Thermal residual, view F, green" as people read it.</summary>
    public static string Words(SeriesKey key) => (TrackerCatalog.Find(key.Tracker)?.Info.Title ?? key.Tracker) + Suffix(key);

    /// <summary>The part after the title: ", view F, green" or ", IFO_T1"; empty when there is none.</summary>
    public static string Suffix(SeriesKey key) =>
        (key.Channel is null ? "" : ", " + key.Channel) + (key.View is null ? "" : ", view " + key.View) + (key.Line is null ? "" : ", " + key.Line);

    /// <summary>Unit on screen: the channel's own for trackers of channels, null for a ratio or a count without one.</summary>
    public static string? Unit(SeriesKey key, DecodingPlan plan)
    {
        var unit = TrackerCatalog.Find(key.Tracker)?.Info.Unit;
        if (unit == "channel") unit = plan.Channels.FirstOrDefault(c => c.Name == key.Channel)?.Parameter.Unit;
        return UnitText.Of(unit);
    }

    /// <summary>Which channels' means can serve as an axis of temperature: those with a role in the profile.</summary>
    public static IEnumerable<SeriesKey> Temperatures(MissionState mission) => mission.RoleChannels.Select(c => new SeriesKey("channel-mean", null, null, c));
}
