using System.Diagnostics;
using System.Net;
using System.Net.Http.Json;
using System.Text.Json;
using System.Text.RegularExpressions;
using Phasekeeper.Demo.Scenario;
using Phasekeeper.EndToEnd.Tests.Journeys;
using Phasekeeper.Web.Api.Access;

namespace Phasekeeper.Benchmarks;

/// <summary>
/// Server time until every page's data are ready: the page as the server renders it, and the data of its plots asked for one after the other, over HTTP from this machine.
/// First = the first time since the program started (what it keeps in memory is empty; a run before has warmed the code itself), then repeated.
/// </summary>
internal static partial class PageSpeed
{
    private const int Repeats = 40;

    /// <param name="output">Where the table goes.</param>
    /// <param name="days">Days of the demo.</param>
    /// <param name="kept">Folder to keep the mission in, or one that a run before has kept; null = one that goes at the end.</param>
    public static async Task PrintAsync(TextWriter output, int days, string? kept)
    {
        var folder = kept ?? Directory.CreateTempSubdirectory("pk-pages-").FullName;
        try
        {
            if (!Directory.Exists(Path.Combine(folder, "data")))
            {
                var generator = new ScenarioGenerator(DemoScenario.Default);
                using var mission = new DiaryMission(generator, folder);
                await mission.RunAsync(generator.Scenario.Start.AddSeconds(days * 86400.0), 24, _ => { });
            }
            await output.WriteLineAsync($"{folder}; ms until the answer is there: page | its plots' data");
            var cold = await RoundAsync(folder, 1);
            var warm = await RoundAsync(folder, Repeats);
            await output.WriteLineAsync($"{"",-26} | {"new program",11} {"first",7} {"p50",7} {"p95",7} | {"plots",5} {"new program",11} {"first",7} {"p50",7} {"p95",7}");
            foreach (var (fresh, page) in cold.Zip(warm))
                await output.WriteLineAsync(FormattableString.Invariant(
                    $"{page.Address,-26} | {fresh.PageMs[0],11:0} {page.PageMs[0],7:0} {Quantile(page.PageMs, 0.5),7:0} {Quantile(page.PageMs, 0.95),7:0} | {page.Plots,5} {fresh.PlotsMs[0],11:0} {page.PlotsMs[0],7:0} {Quantile(page.PlotsMs, 0.5),7:0} {Quantile(page.PlotsMs, 0.95),7:0}"));
        }
        finally
        {
            if (kept is null) Directory.Delete(folder, recursive: true);
        }
    }

    private sealed record Times(string Address, int Plots, IReadOnlyList<double> PageMs, IReadOnlyList<double> PlotsMs);

    private static async Task<IReadOnlyList<Times>> RoundAsync(string folder, int repeats)
    {
        await using var server = new MissionProgram(folder);
        using var client = server.Start();
        await server.UntilIdleAsync(client);
        var all = new List<Times>();
        foreach (var route in PageAddresses.Routes)
        {
            // A quiet day has no flag to show.
            if (await PageAddresses.OfAsync(route, path => Json(client, path)) is not { } found) continue;
            var address = "/" + found;
            var first = await MeasureAsync(client, address, repeats);
            all.Add(first.Times);
            foreach (var tab in Tabs().Matches(first.Html).Select(m => WebUtility.HtmlDecode(m.Groups[1].Value)).Where(t => t.StartsWith(address + "?", StringComparison.Ordinal)).Distinct())
                all.Add((await MeasureAsync(client, tab, repeats)).Times);
        }
        return all;
    }

    private static async Task<(Times Times, string Html)> MeasureAsync(HttpClient client, string address, int repeats)
    {
        var (page, plots, html, count) = (new List<double>(), new List<double>(), "", 0);
        for (var i = 0; i < repeats; i++)
        {
            var start = Stopwatch.GetTimestamp();
            html = await PageAsync(client, address);
            page.Add(Stopwatch.GetElapsedTime(start).TotalMilliseconds);
            var urls = Plots().Matches(html).Select(m => WebUtility.HtmlDecode(m.Groups[1].Value)).ToArray();
            count = urls.Length;
            start = Stopwatch.GetTimestamp();
            foreach (var url in urls) await client.GetByteArrayAsync(new Uri(url, UriKind.Relative));
            plots.Add(Stopwatch.GetElapsedTime(start).TotalMilliseconds);
        }
        return (new(address, count, page, plots), html);
    }

    // The page that refuses somebody answers with 403, as it should.
    private static async Task<string> PageAsync(HttpClient client, string address)
    {
        using var answer = await client.GetAsync(new Uri(address, UriKind.Relative));
        if (!answer.IsSuccessStatusCode && address != AccessHandler.NoAccessPath)
            throw new HttpRequestException($"{address} answered {(int)answer.StatusCode}; expected a page.");
        return await answer.Content.ReadAsStringAsync();
    }

    private static Task<JsonElement> Json(HttpClient client, string path) => client.GetFromJsonAsync<JsonElement>(new Uri(path, UriKind.Relative));

    // Of the repeats alone.
    private static double Quantile(IReadOnlyList<double> values, double share)
    {
        var sorted = values.Skip(1).Order().ToArray();
        return sorted[(int)Math.Round((sorted.Length - 1) * share)];
    }

    [GeneratedRegex("data-url=\"([^\"]+)\"")]
    private static partial Regex Plots();

    [GeneratedRegex("href=\"([^\"]*[?&]tab=[^\"]*)\"")]
    private static partial Regex Tabs();
}
