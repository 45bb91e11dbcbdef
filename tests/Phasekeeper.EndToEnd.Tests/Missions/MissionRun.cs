using System.Globalization;
using System.Net;
using System.Net.Http.Headers;
using System.Net.Http.Json;
using System.Text.Json;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Mvc.Testing;
using Microsoft.Extensions.DependencyInjection;
using Phasekeeper.Tests;

namespace Phasekeeper.EndToEnd.Tests.Missions;

/// <summary>The whole program on a profile folder and an empty data folder; asked through its API alone.</summary>
internal sealed class MissionRun : WebApplicationFactory<Program>
{
    private const string Token = "the scripts' token of this run";
    private static readonly TimeSpan Patience = TimeSpan.FromMinutes(10);
    private readonly string profile;
    private readonly string data = Directory.CreateTempSubdirectory("phasekeeper-run-").FullName;

    public MissionRun(string profile)
    {
        this.profile = profile;
        Client = CreateClient();
        Client.Timeout = Patience;
        Client.DefaultRequestHeaders.Authorization = new AuthenticationHeaderValue("Bearer", Token);
    }

    public HttpClient Client { get; }

    public async Task<JsonElement> Post(byte[] packets)
    {
        using var answer = await Client.PostAsync(Address("packets"), new ByteArrayContent(packets));
        answer.EnsureSuccessStatusCode();
        return await answer.Content.ReadFromJsonAsync<JsonElement>();
    }

    public async Task<JsonElement> WaitUntilIdle()
    {
        using var patience = new CancellationTokenSource(Patience);
        while (true)
        {
            var figures = await Client.GetFromJsonAsync<JsonElement>(Address("ingest"), patience.Token);
            if (figures.GetProperty("idle").GetBoolean()) return figures;
            await Task.Delay(100, patience.Token);
        }
    }

    /// <summary>A list's items.</summary>
    public async Task<IReadOnlyList<JsonElement>> Items(string call) =>
        [.. (await Client.GetFromJsonAsync<JsonElement>(Address(call))).GetProperty("items").EnumerateArray()];

    /// <summary>A list as CSV text.</summary>
    public async Task<string> Csv(string call)
    {
        using var request = new HttpRequestMessage(HttpMethod.Get, Address(call));
        request.Headers.Accept.ParseAdd("text/csv");
        using var answer = await Client.SendAsync(request);
        answer.EnsureSuccessStatusCode();
        Assert.False(answer.Headers.Contains("Link"), $"{call} did not fit one answer.");
        return await answer.Content.ReadAsStringAsync();
    }

    /// <summary>A list's rows by column name; no field of these lists holds a comma.</summary>
    public async Task<IReadOnlyList<Dictionary<string, string>>> Rows(string call) => Table.Read(await Csv(call));

    /// <summary>Every list of products as text, by call.</summary>
    public async Task<SortedDictionary<string, string>> Everything()
    {
        const string all = "limit=1000000";
        var calls = new List<string> { "orbits?" + all, "channels?" + all, "fringes?" + all, "winds/los?" + all, "winds/vector?" + all, "trackers?" + all, "flags?" + all };
        foreach (var id in (await Ids("trackers", "id")).Distinct()) calls.Add($"trackers/{id}?{all}");
        foreach (var name in await Ids("channels", "name"))
            foreach (var resolution in new[] { "raw", "minute", "orbit" }) calls.Add($"channels/{name}?{all}&resolution={resolution}");
        var texts = new SortedDictionary<string, string>(StringComparer.Ordinal);
        foreach (var call in calls) texts.Add(call, await Csv(call));
        return texts;
    }

    protected override void ConfigureWebHost(IWebHostBuilder builder)
    {
        builder.UseSetting("Phasekeeper:Bootstrap:Token", Token);
        builder.UseSetting("Phasekeeper:Profile", profile);
        builder.UseSetting("Phasekeeper:Data", data);
        // The test server has no connection: requests come from this machine.
        builder.ConfigureServices(services => services.AddSingleton<IStartupFilter>(new FromLoopback()));
    }

    protected override void Dispose(bool disposing)
    {
        base.Dispose(disposing);
        if (disposing) TestFolder.Delete(data);
    }

    private async Task<List<string>> Ids(string call, string key) => [.. (await Items(call)).Select(i => i.GetProperty(key).GetString()!)];

    private static Uri Address(string call) => new("/api/v1/" + call, UriKind.Relative);

    private sealed class FromLoopback : IStartupFilter
    {
        public Action<IApplicationBuilder> Configure(Action<IApplicationBuilder> next) => app =>
        {
            app.Use((context, pass) =>
            {
                context.Connection.RemoteIpAddress = IPAddress.Loopback;
                return pass(context);
            });
            next(app);
        };
    }
}

/// <summary>Plain CSV: a header line, no quoted fields.</summary>
internal static class Table
{
    public static IReadOnlyList<Dictionary<string, string>> Read(string text)
    {
        var lines = text.Split('\n', StringSplitOptions.RemoveEmptyEntries);
        var columns = lines[0].TrimStart('#', ' ').TrimEnd('\r').Split(',');
        return [.. lines.Skip(1).Select(l => l.TrimEnd('\r').Split(',').Select((v, i) => (Key: columns[i], Value: v)).ToDictionary(p => p.Key, p => p.Value))];
    }

    public static double Number(this Dictionary<string, string> row, string column) => double.Parse(row[column], CultureInfo.InvariantCulture);
}
