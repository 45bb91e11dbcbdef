using System.Text.Json;
using System.Text.Json.Serialization;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Demo.Scenario;

/// <summary>
/// A rehearsal: when it starts, which moment is "now" when a demo is started for the first time, the seed of all that is random,
/// and the diary of injected events (seed-data/demo/scenario.json). Immutable.
/// </summary>
public sealed record DemoScenario
{
    /// <summary>The only schema that is read.</summary>
    public const string SchemaName = "phasekeeper-scenario/1";

    /// <summary>Name of the scenario.</summary>
    public required string Name { get; init; }
    /// <summary>Seed of everything random.</summary>
    public required ulong Seed { get; init; }
    /// <summary>First moment with exposures; housekeeping starts three hours earlier.</summary>
    public required Instant Start { get; init; }
    /// <summary>Mission time of a demo's first start: history ends and live data begin here.</summary>
    public required Instant FirstNow { get; init; }
    /// <summary>Injected events.</summary>
    public IReadOnlyList<ScenarioEvent> Events { get; init; } = [];
    /// <summary>Planned activities.</summary>
    public IReadOnlyList<ScenarioActivity> Activities { get; init; } = [];

    /// <summary>The scenario that ships with the program.</summary>
    public static DemoScenario Default => Shipped.Value;

    // Lazy, so that a fault in the file is told as it is, not wrapped by a type initialiser.
    private static readonly Lazy<DemoScenario> Shipped = new(LoadDefault);

    /// <summary>Moment of a number of hours after the scenario's start.</summary>
    public Instant At(double hours) => Start.AddSeconds(hours * 3600);

    /// <summary>The same scenario beginning at another moment; events keep their distance from the start.</summary>
    public DemoScenario StartingAt(Instant start) => this with { Start = start, FirstNow = start.AddSeconds(FirstNow - Start) };

    /// <summary>
    /// Chooses events: <c>all</c>, <c>none</c>, or names separated by commas.
    /// </summary>
    /// <exception cref="ScenarioException">A name is not in the scenario.</exception>
    public IReadOnlyList<ScenarioEvent> SelectEvents(string choice)
    {
        if (choice == "all") return Events;
        if (choice == "none") return [];
        var chosen = new List<ScenarioEvent>();
        foreach (var name in choice.Split(',', StringSplitOptions.TrimEntries | StringSplitOptions.RemoveEmptyEntries))
            chosen.Add(Events.FirstOrDefault(e => e.Name == name)
                ?? throw new ScenarioException($"Found the event name '{name}'; expected 'all', 'none' or names of scenario '{Name}': {string.Join(", ", Events.Select(e => e.Name))}."));
        return chosen;
    }

    /// <summary>Reads scenario JSON.</summary>
    /// <param name="json">Text of the file.</param>
    /// <param name="file">Name of the file, for error messages.</param>
    /// <exception cref="ScenarioException">The text is not a scenario; the message names file, JSON path, what was found and expected.</exception>
    public static DemoScenario Parse(string json, string file)
    {
        ScenarioFile? read;
        try
        {
            read = JsonSerializer.Deserialize<ScenarioFile>(json, Options);
        }
        catch (JsonException e)
        {
            throw new ScenarioException($"{file}: {e.Path ?? "$"}, line {(e.LineNumber ?? 0) + 1}: {e.Message}", e);
        }
        if (read is null) throw new ScenarioException($"{file}: $: found null; expected a scenario object.");
        if (read.Schema != SchemaName) throw new ScenarioException($"{file}: $.schema: found '{read.Schema}'; expected '{SchemaName}'.");
        var scenario = new DemoScenario
        {
            Name = read.Name,
            Seed = read.Seed,
            Start = TimeOf(read.Start, "start", file),
            FirstNow = TimeOf(read.FirstNow, "firstNow", file),
            Events = read.Events,
            Activities = read.Activities,
        };
        if (scenario.FirstNow <= scenario.Start)
            throw new ScenarioException($"{file}: $.firstNow: found {read.FirstNow}; expected a time after $.start, {read.Start}.");
        for (var i = 0; i < read.Events.Count; i++) Check(read.Events[i], i, read.Events, file);
        return scenario;
    }

    private static void Check(ScenarioEvent e, int index, List<ScenarioEvent> all, string file)
    {
        var at = $"{file}: $.events[{index}]";
        if (all.Take(index).Any(other => other.Name == e.Name)) throw new ScenarioException($"{at}.name: found '{e.Name}' a second time; expected unique names.");
        if (e.StartHours < 0) throw new ScenarioException($"{at}.startHours: found {e.StartHours}; expected 0 or more.");
        if (e.DurationHours <= 0) throw new ScenarioException($"{at}.durationHours: found {e.DurationHours}; expected more than 0, or nothing for an event that stays.");
        if (e.View is not (null or "F" or "A")) throw new ScenarioException($"{at}.view: found '{e.View}'; expected 'F', 'A' or nothing for both.");
        if (e.DeliveredHours < e.EndHours) throw new ScenarioException($"{at}.deliveredHours: found {e.DeliveredHours}; expected at least the event's end, {e.EndHours}.");
    }

    private static Instant TimeOf(string text, string key, string file) => Instant.TryParseUtc(text, out var time) ? time
        : throw new ScenarioException($"{file}: $.{key}: found '{text}'; expected ISO 8601 UTC such as 2031-04-10T00:00:00Z.");

    private static DemoScenario LoadDefault()
    {
        using var stream = typeof(DemoScenario).Assembly.GetManifestResourceStream("scenario.json")
            ?? throw new ScenarioException("The program was built without seed-data/demo/scenario.json; build it again from a whole checkout.");
        using var reader = new StreamReader(stream);
        return Parse(reader.ReadToEnd(), "seed-data/demo/scenario.json");
    }

    private static readonly JsonSerializerOptions Options = new()
    {
        PropertyNamingPolicy = JsonNamingPolicy.CamelCase,
        UnmappedMemberHandling = JsonUnmappedMemberHandling.Disallow,
        Converters = { new JsonStringEnumConverter(JsonNamingPolicy.CamelCase, allowIntegerValues: false) },
    };

    private sealed record ScenarioFile
    {
        [JsonRequired] public string Schema { get; init; } = "";
        [JsonRequired] public string Name { get; init; } = "";
        [JsonRequired] public ulong Seed { get; init; }
        [JsonRequired] public string Start { get; init; } = "";
        [JsonRequired] public string FirstNow { get; init; } = "";
        public List<ScenarioEvent> Events { get; init; } = [];
        public List<ScenarioActivity> Activities { get; init; } = [];
    }
}
