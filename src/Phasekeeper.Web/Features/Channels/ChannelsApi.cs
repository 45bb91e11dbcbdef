using System.ComponentModel;
using Microsoft.AspNetCore.Mvc;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api;
using Phasekeeper.Web.Api.Lists;

namespace Phasekeeper.Web.Features.Channels;

/// <summary>A telemetry channel (contract.md section 4).</summary>
/// <param name="Name">Parameter name of the telemetry definition.</param>
/// <param name="Unit">Unit; empty for none.</param>
/// <param name="Description">Words of the definition.</param>
/// <param name="Role">Role in the profile; null for none.</param>
/// <param name="FirstTime">Time of the first sample; null when none arrived.</param>
/// <param name="LastTime">Time of the last sample.</param>
/// <param name="Count">Number of samples.</param>
public sealed record ChannelItem(string Name, string Unit, string Description, string? Role, Instant? FirstTime, Instant? LastTime, long Count);

/// <summary>One sample.</summary>
/// <param name="Time">Packet time.</param>
/// <param name="Value">Value in the channel's unit; the number behind an enumeration's label.</param>
/// <param name="Label">Label of an enumeration; null for none.</param>
/// <param name="State">normal | watch | warning | distress | critical | severe.</param>
public readonly record struct ChannelSampleItem(Instant Time, double Value, string? Label, string State);

/// <summary>Extremes and mean of a minute or an orbit.</summary>
/// <param name="Start">Start of the UTC minute or orbit.</param>
/// <param name="Min">Smallest value.</param>
/// <param name="Mean">Mean.</param>
/// <param name="Max">Largest value.</param>
/// <param name="Count">Number of samples.</param>
public readonly record struct ChannelRollUpItem(Instant Start, double Min, double Mean, double Max, long Count)
{
    /// <summary>The item of a stored roll-up.</summary>
    public static ChannelRollUpItem Of(RollUp rollUp) => new(rollUp.Start, rollUp.Min, rollUp.Mean, rollUp.Max, rollUp.Count);
}

/// <summary>How finely a channel is asked for.</summary>
public enum ChannelResolution
{
    /// <summary>Every sample.</summary>
    Raw,
    /// <summary>Roll-ups of UTC minutes.</summary>
    Minute,
    /// <summary>Roll-ups of orbits (UTC days for a mission without an orbit).</summary>
    Orbit,
}

/// <summary>Telemetry channels and their samples.</summary>
public static class ChannelsApi
{
    /// <summary>Adds the calls.</summary>
    public static void MapChannels(this IEndpointRouteBuilder api)
    {
        api.MapGet("/channels", ([AsParameters] ListQuery query, Stores stores, MissionFolder mission) => All(stores, mission).AnswerPart(query.Read()))
            .WithTags("Channels").WithName("getChannels").WithSummary("All telemetry channels, also those of which nothing arrived yet.");
        // A name that two systems of the definition share is a path with slashes.
        api.MapGet("/channels/{**name}", Samples).WithTags("Channels").WithName("getChannel")
            .Produces<ListDocument<ChannelSampleItem>>(StatusCodes.Status200OK, "application/json", "text/csv")
            .ProducesProblem(StatusCodes.Status400BadRequest).ProducesProblem(StatusCodes.Status404NotFound)
            .WithSummary("A channel's samples (time, value, label, state), or with resolution=minute or orbit its roll-ups (start, min, mean, max, count).");
    }

    /// <summary>The channels that have samples, and those that the definition knows besides.</summary>
    public static IReadOnlyList<ChannelItem> All(Stores stores, MissionFolder mission)
    {
        ArgumentNullException.ThrowIfNull(stores);
        ArgumentNullException.ThrowIfNull(mission);
        var stored = stores.Telemetry.Channels().Select(c => new ChannelItem(c.Name, c.Unit, c.Description, c.Role, c.FirstTime, c.LastTime, c.Count)).ToList();
        var names = stored.Select(c => c.Name).ToHashSet(StringComparer.Ordinal);
        // Time fields of packets are channels only where packets of that sort carry them as such: seen is known.
        var silent = mission.Plan.Channels.Where(c => !c.IsTimeField && !names.Contains(c.Name))
            .Select(c => new ChannelItem(c.Name, c.Parameter.Unit, c.Parameter.Description ?? "", mission.Profile.RoleOf(c.Name), null, null, 0));
        return [.. stored.Concat(silent).OrderBy(c => c.Name, StringComparer.Ordinal)];
    }

    private static IResult Samples(
        string name, [AsParameters] ListQuery query,
        [FromQuery(Name = "resolution"), Description("raw (default), minute or orbit.")] string? resolution, Stores stores, MissionFolder mission)
    {
        var range = query.Read();
        var channel = Find(name, stores, mission);
        switch (WordParameter.Read<ChannelResolution>("resolution", resolution) ?? ChannelResolution.Raw)
        {
            case ChannelResolution.Minute:
                return stores.Telemetry.ListMinutes(channel, range.From, range.To, range.Limit, range.Next).Answer(ChannelRollUpItem.Of);
            case ChannelResolution.Orbit:
                return stores.Telemetry.ListOrbits(channel, range.From, range.To, range.Limit, range.Next).Answer(ChannelRollUpItem.Of);
            default:
                var states = new ChannelStates(mission.Plan.Find(channel));
                return stores.Telemetry.List(channel, range.From, range.To, range.Limit, range.Next)
                    .Answer(s => new ChannelSampleItem(s.Time, s.Value, s.Label, states.Of(s.Value, s.Label)));
        }
    }

    private static string Find(string name, Stores stores, MissionFolder mission)
    {
        // Slashes inside a segment of an address stay encoded.
        var decoded = name.Replace("%2F", "/", StringComparison.OrdinalIgnoreCase);
        var all = All(stores, mission);
        return all.Select(c => c.Name).FirstOrDefault(n => n == decoded || n == "/" + decoded) ?? throw ApiProblems.NotFound("channel", decoded, all.Select(c => c.Name));
    }
}
