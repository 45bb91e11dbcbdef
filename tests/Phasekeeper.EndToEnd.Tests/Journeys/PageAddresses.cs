using System.Reflection;
using System.Text.Json;
using System.Text.RegularExpressions;
using Microsoft.AspNetCore.Components;
using Phasekeeper.Web.Hosting;

namespace Phasekeeper.EndToEnd.Tests.Journeys;

/// <summary>Every page of the program by its route, and an address that shows it with something to see.</summary>
internal static partial class PageAddresses
{
    /// <summary>A route of every page, its longest where it has several, from the components themselves: a new page is in it without anyone's doing.</summary>
    public static IReadOnlyList<string> Routes { get; } =
        [.. typeof(PhasekeeperOptions).Assembly.GetTypes().Select(t => t.GetCustomAttributes<RouteAttribute>().Select(r => r.Template).MaxBy(r => r.Length)).OfType<string>().Order(StringComparer.Ordinal)];

    /// <summary>Address of a route, with an orbit, a flag and an entry of the record for its parameters; null where the mission has none.</summary>
    /// <param name="route">Route.</param>
    /// <param name="json">Asks the mission's API.</param>
    public static async Task<string?> OfAsync(string route, Func<string, Task<JsonElement>> json)
    {
        var address = route;
        foreach (Match parameter in Parameters().Matches(route))
        {
            if (await ValueAsync(route, parameter.Groups[1].Value, json) is not { } value) return null;
            address = address.Replace(parameter.Value, value, StringComparison.Ordinal);
        }
        return address.TrimStart('/');
    }

    private static async Task<string?> ValueAsync(string route, string name, Func<string, Task<JsonElement>> json) => (route, name) switch
    {
        ("/orbit/{Number:int}", _) => await FirstAsync(json, "orbits", "orbit"),
        ("/day/{Date}", _) => await FirstAsync(json, "days", "date"),
        ("/record/{Number}", _) => await FirstAsync(json, "record", "number"),
        ("/flags/{Id}", _) => await FirstAsync(json, "flags", "id"),
        ("/reports/week/{First}", _) => await WeekAsync(json),
        ("/rules/{Id}", _) => await FirstAsync(json, "rules", "id"),
        ("/rules/proposals/{Id}", _) => await FirstAsync(json, "rules/proposals", "id"),
        ("/coefficients/proposals/{Id}", _) => await FirstAsync(json, "coefficients/proposals", "id"),
        _ => throw new NotSupportedException($"The route {route} has a parameter {name} for which no value is known here: say in {nameof(PageAddresses)} where a page worth seeing gets it from."),
    };

    // Monday of the first orbit's week.
    private static async Task<string?> WeekAsync(Func<string, Task<JsonElement>> json) => await FirstAsync(json, "orbits", "start") is { } start && DateTime.Parse(start, System.Globalization.CultureInfo.InvariantCulture, System.Globalization.DateTimeStyles.AdjustToUniversal) is var day
        ? day.AddDays(-(((int)day.DayOfWeek + 6) % 7)).ToString("yyyy-MM-dd", System.Globalization.CultureInfo.InvariantCulture) : null;

    private static async Task<string?> FirstAsync(Func<string, Task<JsonElement>> json, string list, string property) =>
        (await json($"/api/v1/{list}?limit=1")).GetProperty("items").EnumerateArray().Select(item => item.GetProperty(property).ToString()).FirstOrDefault();

    [GeneratedRegex(@"\{(\w+)[^}]*\}")]
    private static partial Regex Parameters();
}
