using System.Globalization;

namespace Phasekeeper.Benchmarks;

/// <summary>What of the diary to run.</summary>
/// <param name="Days">Days from the scenario's start, 1…60.</param>
/// <param name="Seed">Seed; null = the scenario's own.</param>
/// <param name="Runs">"events", "quiet" or "both".</param>
/// <param name="Keep">Folder in which the missions are kept; null = they go.</param>
/// <param name="StepHours">Hours of telemetry that arrive together.</param>
internal sealed record DiaryOptions(int Days, ulong? Seed, string Runs, string? Keep, double StepHours)
{
    public static bool TryParse(string[] args, out DiaryOptions options)
    {
        options = new(30, null, "both", null, 2);
        for (var i = 0; i < args.Length; i++)
        {
            var value = i + 1 < args.Length ? args[i + 1] : "";
            if (i == 0 && int.TryParse(args[0], CultureInfo.InvariantCulture, out var days) && days is > 0 and <= 60) options = options with { Days = days };
            else if (args[i] == "--seed" && ulong.TryParse(value, CultureInfo.InvariantCulture, out var seed)) options = options with { Seed = seed };
            else if (args[i] == "--only" && value is "events" or "quiet") options = options with { Runs = value };
            else if (args[i] == "--keep" && value.Length > 0) options = options with { Keep = value };
            else if (args[i] == "--step" && double.TryParse(value, CultureInfo.InvariantCulture, out var hours) && hours is >= 0.1 and <= 24) options = options with { StepHours = hours };
            else return false;
            if (args[i].StartsWith("--", StringComparison.Ordinal)) i++;
        }
        return true;
    }
}
