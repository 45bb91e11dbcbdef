using System.Globalization;
using Phasekeeper.Core.Time;
using Phasekeeper.Demo.Scenario;

namespace Phasekeeper.Demo.Cli;

/// <summary>What the command line asks for.</summary>
public sealed record DemoOptions
{
    /// <summary>Text of --help.</summary>
    public const string Help = """
        Writes a rehearsal: the mission profile of Kittiwake and its packets, with injected events.

        Usage: dotnet run --project src/Phasekeeper.Demo -- --out DIR [options]

          --out DIR        folder to write: the profile, packets/*.pkt (one file an orbit) and, with --truth, truth*.csv
          --days N         days of data from the start (default 1; fractions allowed)
          --start ISO      start, UTC (default: the scenario's own); events keep their distance from it
          --from HOURS     skip the first hours of the scenario, to reach a late event sooner (default 0)
          --events WHICH   all (default), none, or names separated by commas
          --seed N         seed (default: the scenario's own); the same seed gives the same bytes
          --scenario FILE  scenario file (default: the one of seed-data/demo)
          --threads N      threads to use (default: all cores); the bytes do not depend on it
          --truth          also write what was put in: truth.csv and truth-drift.csv
          --list           list the scenario's events and stop
          --help           this text

        A downlink that arrives late is written as packets/late-NAME.pkt when its delivery falls within the days.
        """;

    /// <summary>Folder to write; null only with <see cref="ShowHelp"/> or <see cref="List"/>.</summary>
    public string? Out { get; init; }
    /// <summary>Days of data.</summary>
    public double Days { get; init; } = 1;
    /// <summary>Start; null = the scenario's.</summary>
    public Instant? Start { get; init; }
    /// <summary>Hours to skip.</summary>
    public double FromHours { get; init; }
    /// <summary>Choice of events.</summary>
    public string Events { get; init; } = "all";
    /// <summary>Seed; null = the scenario's.</summary>
    public ulong? Seed { get; init; }
    /// <summary>Scenario file; null = built in.</summary>
    public string? ScenarioFile { get; init; }
    /// <summary>Threads.</summary>
    public int Threads { get; init; } = System.Environment.ProcessorCount;
    /// <summary>Write the truth too.</summary>
    public bool Truth { get; init; }
    /// <summary>List events.</summary>
    public bool List { get; init; }
    /// <summary>Print the help.</summary>
    public bool ShowHelp { get; init; }

    /// <summary>Reads a command line.</summary>
    /// <exception cref="ScenarioException">An option is unknown, lacks its value, or its value cannot be read.</exception>
    public static DemoOptions Parse(IReadOnlyList<string> arguments)
    {
        var options = new DemoOptions();
        for (var i = 0; i < arguments.Count; i++)
        {
            var name = arguments[i];
            string Next(string what) => ++i < arguments.Count && !arguments[i].StartsWith("--", StringComparison.Ordinal) ? arguments[i]
                : throw new ScenarioException($"{name}: found nothing behind it; expected {what}.");
            options = name switch
            {
                "--help" or "-h" => options with { ShowHelp = true },
                "--list" => options with { List = true },
                "--truth" => options with { Truth = true },
                "--out" => options with { Out = Next("a folder") },
                "--scenario" => options with { ScenarioFile = Next("a file") },
                "--events" => options with { Events = Next("all, none, or names separated by commas") },
                "--days" => options with { Days = Number(name, Next("a number of days"), 1e-3, 3650) },
                "--from" => options with { FromHours = Number(name, Next("a number of hours"), 0, 87600) },
                "--threads" => options with { Threads = (int)Number(name, Next("a number of threads"), 1, 1024) },
                "--seed" => options with { Seed = SeedOf(Next("a whole number")) },
                "--start" => options with { Start = TimeOf(Next("a time such as 2031-04-10T00:00:00Z")) },
                _ => throw new ScenarioException($"Found the option '{name}'; expected one of --out --days --start --from --events --seed --scenario --threads --truth --list --help."),
            };
        }
        if (options.Out is null && !options.ShowHelp && !options.List)
            throw new ScenarioException("Found no --out; expected --out DIR, the folder to write. --help tells all options.");
        return options;
    }

    private static double Number(string option, string text, double low, double high) =>
        double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out var number) && number >= low && number <= high ? number
            : throw new ScenarioException($"{option}: found '{text}'; expected a number from {low.ToString(CultureInfo.InvariantCulture)} to {high.ToString(CultureInfo.InvariantCulture)}.");

    private static ulong SeedOf(string text) => ulong.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out var seed) ? seed
        : throw new ScenarioException($"--seed: found '{text}'; expected a whole number from 0 to {ulong.MaxValue}.");

    private static Instant TimeOf(string text) => Instant.TryParseUtc(text, out var time) ? time
        : throw new ScenarioException($"--start: found '{text}'; expected ISO 8601 UTC such as 2031-04-10T00:00:00Z.");
}
