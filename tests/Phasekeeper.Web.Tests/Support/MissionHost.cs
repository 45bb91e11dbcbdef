using System.Net.Http.Json;
using System.Text.Json;
using Microsoft.Extensions.DependencyInjection;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Engine;

namespace Phasekeeper.Web.Tests.Support;

/// <summary>The application with five hours of the demo mission processed to the end and nothing arriving after them: for all tests that need orbits, pages and their plots.</summary>
public sealed class MissionHost : WebHost, IAsyncLifetime
{
    /// <summary>First and last moment of the orbits with winds.</summary>
    public static readonly (Instant From, Instant To) Span = (DemoProfile.Generator.Scenario.Start, DemoProfile.Generator.Scenario.Start.AddSeconds(5 * 3600));

    /// <summary>A client of this machine.</summary>
    public HttpClient Client { get; private set; } = default!;

    /// <summary>The engine.</summary>
    public PipelineEngine Engine => Services.GetRequiredService<PipelineEngine>();

    /// <summary>A complete orbit whose data are in.</summary>
    public int Orbit { get; private set; }

    /// <inheritdoc/>
    public async Task InitializeAsync()
    {
        Client = CreateClient();
        await Post(DemoProfile.Generator.PacketsFor(DemoProfile.Generator.FirstPacket, Span.To));
        await WaitUntilIdle();
        Orbit = Stores.Orbits.Newest(10).First(o => o.ReceivedExposures >= o.ExpectedExposures && o.ExpectedExposures > 40).Orbit;
    }

    /// <summary>JSON of an address.</summary>
    public Task<JsonElement> Json(string address) => Client.GetFromJsonAsync<JsonElement>(new Uri(address, UriKind.Relative));

    /// <summary>A plot as the browser gets it.</summary>
    public Task<JsonElement> PlotAsync(string path) => Json("/api/v1/plots/" + path);

    /// <summary>Lines of a list as CSV.</summary>
    public async Task<string[]> Csv(string address)
    {
        using var request = new HttpRequestMessage(HttpMethod.Get, address);
        request.Headers.Add("Accept", "text/csv");
        using var answer = await Client.SendAsync(request);
        answer.EnsureSuccessStatusCode();
        return (await answer.Content.ReadAsStringAsync()).TrimEnd('\n').Split('\n');
    }

    /// <summary>Text of a page as the server renders it.</summary>
    public async Task<string> Page(string address)
    {
        using var answer = await Client.GetAsync(new Uri(address, UriKind.Relative));
        var text = await answer.Content.ReadAsStringAsync();
        Assert.True(answer.IsSuccessStatusCode, $"{address} answered {(int)answer.StatusCode}: {text}");
        return text;
    }

    Task IAsyncLifetime.DisposeAsync() => DisposeAsync().AsTask();
}

/// <summary>Tests that share one <see cref="MissionHost"/>.</summary>
[CollectionDefinition(Name)]
public sealed class MissionHostGroup : ICollectionFixture<MissionHost>
{
    /// <summary>Name of the group.</summary>
    public const string Name = "a mission with data";
}
