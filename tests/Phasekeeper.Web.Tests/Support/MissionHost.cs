using System.Net.Http.Json;
using System.Text.Json;
using Microsoft.Extensions.DependencyInjection;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Tests.Support;

/// <summary>The application with five hours of the demo mission, which came in through the API and are processed to the end.</summary>
public sealed class MissionHost : WebHost, IAsyncLifetime
{
    private static readonly TimeSpan LongestWait = TimeSpan.FromMinutes(3);

    /// <summary>First and last moment of the packets.</summary>
    public static readonly (Core.Time.Instant From, Core.Time.Instant To) Span = (DemoProfile.Generator.Scenario.Start, DemoProfile.Generator.Scenario.Start.AddSeconds(5 * 3600));

    /// <summary>A client of this machine.</summary>
    public HttpClient Client { get; private set; } = default!;

    /// <summary>The stores behind the pages.</summary>
    public Stores Stores => Services.GetRequiredService<Stores>();

    /// <summary>Answer to the first POST.</summary>
    public JsonElement FirstAnswer { get; private set; }

    /// <summary>The packets.</summary>
    public byte[] Packets { get; } = DemoProfile.Generator.PacketsFor(Span.From, Span.To);

    /// <inheritdoc/>
    public async Task InitializeAsync()
    {
        Client = CreateClient();
        FirstAnswer = await Post(Packets);
        await Idle();
    }

    /// <summary>Sends bytes to the one road in.</summary>
    public async Task<JsonElement> Post(byte[] body)
    {
        using var content = new ByteArrayContent(body);
        using var answer = await Client.PostAsync(new Uri("/api/v1/packets", UriKind.Relative), content);
        answer.EnsureSuccessStatusCode();
        return await answer.Content.ReadFromJsonAsync<JsonElement>();
    }

    /// <summary>JSON of an address.</summary>
    public Task<JsonElement> Json(string address) => Client.GetFromJsonAsync<JsonElement>(new Uri(address, UriKind.Relative));

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

    /// <summary>Waits until everything received is processed.</summary>
    public async Task Idle()
    {
        using var timeout = new CancellationTokenSource(LongestWait);
        while (!(await Json("/api/v1/ingest")).GetProperty("idle").GetBoolean()) await Task.Delay(100, timeout.Token);
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
