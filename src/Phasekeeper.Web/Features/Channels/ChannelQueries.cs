using Phasekeeper.Core.Time;
using Phasekeeper.Packets.Decoding;
using Phasekeeper.Packets.Xtce;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;
using Phasekeeper.Web.Shared.Numbers;

namespace Phasekeeper.Web.Features.Channels;

/// <summary>A channel as the page lists it.</summary>
/// <param name="Name">Name.</param>
/// <param name="Unit">Unit; empty for none.</param>
/// <param name="Description">Words of the telemetry definition; empty for none.</param>
/// <param name="Role">Role in the mission profile, in words; null for none.</param>
/// <param name="Count">Stored samples.</param>
/// <param name="LastTime">Time of the newest sample; null for none.</param>
/// <param name="Latest">Newest value in words; null when it was not read.</param>
/// <param name="State">State of the newest value: normal, notice, warning, critical; null without a value or limits.</param>
public sealed record ChannelLine(string Name, string Unit, string Description, string? Role, long Count, Instant? LastTime, string? Latest, string? State);

/// <summary>What the channels page reads.</summary>
public sealed class ChannelQueries(Stores stores)
{
    /// <summary>Most channels whose newest value is read for one page.</summary>
    public const int MostLatest = 150;

    /// <summary>Channels that match every word of a search (name, description, unit, role), by name; those with data first.</summary>
    public IReadOnlyList<ChannelLine> List(MissionState mission, string? search)
    {
        var words = (search ?? "").Split(' ', StringSplitOptions.RemoveEmptyEntries);
        var parameters = mission.Plan.Channels.GroupBy(c => c.Name, StringComparer.Ordinal).ToDictionary(g => g.Key, g => g.First().Parameter, StringComparer.Ordinal);
        return [.. stores.Telemetry.Channels()
            .Where(c => words.All(w => Text(c).Contains(w, StringComparison.OrdinalIgnoreCase)))
            .OrderBy(c => c.Count == 0).ThenBy(c => c.Name, StringComparer.Ordinal)
            .Select((c, i) => Line(c, parameters.GetValueOrDefault(c.Name), i < MostLatest))];
    }

    /// <summary>Channels that can be drawn, by name.</summary>
    public static IReadOnlyDictionary<string, ParameterInfo> Parameters(MissionState mission) =>
        mission.Plan.Channels.GroupBy(c => c.Name, StringComparer.Ordinal).ToDictionary(g => g.Key, g => g.First().Parameter, StringComparer.Ordinal);

    /// <summary>The word of a role on screen.</summary>
    public static string? RoleWords(string? role) => role switch
    {
        null => null,
        "interferometerTemperature" => "interferometer temperature",
        "benchTemperature" => "bench temperature",
        "detectorTemperature" => "detector temperature",
        _ => role,
    };

    /// <summary>State of a value under the definition's alarm ranges; null without any.</summary>
    public static string? StateOf(ParameterInfo parameter, double value, string? label)
    {
        if (parameter.LabelAlarms is { } alarms && parameter.Labels is { } labels)
        {
            for (var i = 0; i < labels.Labels.Count; i++)
                if (labels.Labels[i] == label) return Word(alarms.LevelOfLabel[i]);
            return Word(alarms.Otherwise);
        }
        return parameter.Ranges is { } ranges && double.IsFinite(value) ? Word(ranges.LevelOf(value)) : null;
    }

    private static string Word(AlarmLevel level) => level switch
    {
        AlarmLevel.Normal => "normal",
        AlarmLevel.Watch => "notice",
        AlarmLevel.Warning or AlarmLevel.Distress => "warning",
        _ => "critical",
    };

    private ChannelLine Line(ChannelRow row, ParameterInfo? parameter, bool withLatest)
    {
        string? latest = null, state = null;
        // One nanosecond past the newest sample, so that it is the last one before.
        if (withLatest && row.LastTime is { } last && stores.Telemetry.LastBefore(row.Name, new Instant(last.TaiNanoseconds + 1), last) is { } sample)
        {
            latest = sample.Label ?? FigureText.Short(sample.Value, 5);
            state = parameter is null ? null : StateOf(parameter, sample.Value, sample.Label);
        }
        return new(row.Name, UnitText.Of(row.Unit) ?? "", row.Description, RoleWords(row.Role), row.Count, row.LastTime, latest, state);
    }

    private static string Text(ChannelRow c) => $"{c.Name} {c.Description} {c.Unit} {RoleWords(c.Role)}";
}
