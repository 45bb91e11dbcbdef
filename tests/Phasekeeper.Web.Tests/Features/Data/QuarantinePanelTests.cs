using System.Net.Http.Json;
using System.Text;
using System.Text.Json;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Data;

public sealed class QuarantinePanelTests : IDisposable
{
    private static readonly byte[] Garbage = Encoding.ASCII.GetBytes("these are no space packets, and nobody ever said that they were");

    private readonly WebHost host = new();

    public void Dispose() => host.Dispose();

    [Fact]
    public async Task What_cannot_be_used_shows_with_its_reason_until_someone_discards_it()
    {
        using var client = host.CreateClient();
        using var body = new ByteArrayContent(Garbage);
        using var posted = await client.PostAsync(new Uri("/api/v1/packets?name=odd.pkt", UriKind.Relative), body);
        Assert.True((await posted.Content.ReadFromJsonAsync<JsonElement>()).GetProperty("quarantined").GetInt64() > 0);

        var item = (await Items(client)).Single();
        Assert.Equal("api:odd.pkt", item.GetProperty("source").GetString());
        Assert.NotEmpty(item.GetProperty("reason").GetString()!);
        var id = item.GetProperty("id").GetInt64();
        Assert.Contains("api:odd.pkt", await client.GetStringAsync(new Uri("/data?tab=quarantine", UriKind.Relative)), StringComparison.Ordinal);

        using var discarded = await client.PostAsync(new Uri($"/api/v1/quarantine/{id}/discard", UriKind.Relative), null);
        Assert.True(discarded.IsSuccessStatusCode);
        Assert.DoesNotContain("api:odd.pkt", await client.GetStringAsync(new Uri("/data?tab=quarantine", UriKind.Relative)), StringComparison.Ordinal);
        Assert.Contains("api:odd.pkt", await client.GetStringAsync(new Uri("/data?tab=quarantine&state=discarded", UriKind.Relative)), StringComparison.Ordinal);
    }

    private static async Task<List<JsonElement>> Items(HttpClient client) =>
        [.. (await client.GetFromJsonAsync<JsonElement>(new Uri("/api/v1/quarantine", UriKind.Relative))).GetProperty("items").EnumerateArray()];
}
