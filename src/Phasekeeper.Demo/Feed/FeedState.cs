using System.Text.Json;
using System.Text.Json.Serialization;
using Phasekeeper.Core.Time;
using Phasekeeper.Demo.Scenario;

namespace Phasekeeper.Demo.Feed;

/// <summary>
/// What a feed has handed over, so that a restart goes on where it stopped: how many files of the history are written, and up to which mission time
/// live data are. Kept by the host as a small JSON text. Immutable.
/// </summary>
public sealed record FeedState
{
    /// <summary>The only schema that is read.</summary>
    public const string SchemaName = "phasekeeper-feed/1";

    /// <summary>Schema of the text.</summary>
    [JsonRequired] public string Schema { get; init; } = SchemaName;
    /// <summary>Seed of the data that were written: another seed's data do not fit them.</summary>
    [JsonRequired] public ulong Seed { get; init; }
    /// <summary>Files of the history that are written, counted in the order of the plan.</summary>
    [JsonRequired] public int HistoryWritten { get; init; }
    /// <summary>Live data are written up to here (mission time, nanoseconds of TAI since 1970).</summary>
    [JsonRequired] public long LiveToTaiNanoseconds { get; init; }
    /// <summary>Names of the repeated downlinks that were handed over since the first "now".</summary>
    public IReadOnlyList<string> LateWritten { get; init; } = [];
    /// <summary>The orbit file reaches to here.</summary>
    [JsonRequired] public long OrbitToTaiNanoseconds { get; init; }

    /// <summary>Live data are written up to this mission time.</summary>
    [JsonIgnore] public Instant LiveTo => new(LiveToTaiNanoseconds);
    /// <summary>The orbit file reaches to this mission time.</summary>
    [JsonIgnore] public Instant OrbitTo => new(OrbitToTaiNanoseconds);

    /// <summary>State before the first file.</summary>
    public static FeedState First(ScenarioGenerator generator) => new()
    {
        Seed = generator.Seed,
        LiveToTaiNanoseconds = generator.Scenario.FirstNow.TaiNanoseconds,
        OrbitToTaiNanoseconds = generator.Scenario.FirstNow.AddSeconds(DemoFeed.OrbitAheadS).TaiNanoseconds,
    };

    /// <summary>JSON text.</summary>
    public string ToJson() => JsonSerializer.Serialize(this, Options);

    /// <summary>Reads JSON text.</summary>
    /// <exception cref="ScenarioException">The text is no feed state.</exception>
    public static FeedState FromJson(string json)
    {
        try
        {
            var state = JsonSerializer.Deserialize<FeedState>(json, Options);
            return state?.Schema == SchemaName ? state
                : throw new ScenarioException($"Feed state: $.schema: found '{state?.Schema}'; expected '{SchemaName}'. Remove the state file and the demo's data to start anew.");
        }
        catch (JsonException e)
        {
            throw new ScenarioException($"Feed state: {e.Path ?? "$"}: {e.Message} Remove the state file and the demo's data to start anew.", e);
        }
    }

    private static readonly JsonSerializerOptions Options = new()
    {
        PropertyNamingPolicy = JsonNamingPolicy.CamelCase,
        UnmappedMemberHandling = JsonUnmappedMemberHandling.Disallow,
        WriteIndented = true,
        NewLine = "\n",
    };
}
