using System.Net;
using System.Net.Http.Headers;
using System.Text.Json;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Intake;

[Collection(ShortMission.Collection)]
public sealed class IntakeApiTests(ShortMission host)
{
    [Fact]
    public void A_post_answers_what_became_of_its_packets()
    {
        Assert.Equal(["stored", "duplicates", "quarantined", "bytes"], host.FirstAnswer.EnumerateObject().Select(p => p.Name));
        Assert.Equal(host.Packets.Length, host.FirstAnswer.GetProperty("bytes").GetInt64());
        Assert.Equal(0, host.FirstAnswer.GetProperty("duplicates").GetInt64());
        Assert.Equal(0, host.FirstAnswer.GetProperty("quarantined").GetInt64());
        Assert.InRange(host.FirstAnswer.GetProperty("stored").GetInt64(), 1000, long.MaxValue);
    }

    [Fact]
    public async Task The_same_bytes_again_are_duplicates_and_change_nothing()
    {
        var before = await host.Figures();
        var again = await host.Post(host.Packets);
        var stored = host.FirstAnswer.GetProperty("stored").GetInt64();
        Assert.Equal((0, stored, 0), (again.GetProperty("stored").GetInt64(), again.GetProperty("duplicates").GetInt64(), again.GetProperty("quarantined").GetInt64()));
        var after = await host.Figures();
        Assert.True(after.Idle);
        Assert.Equal((before.Stored, before.LastPacketTime), (after.Stored, after.LastPacketTime));
    }

    [Fact]
    public async Task Idle_is_claimed_only_when_the_trackers_are_there()
    {
        Assert.False(host.JustAfter.Idle);
        Assert.Equal((await host.Api.Json("fringes?limit=1000000")).Count, host.AtIdle.Fringes);
        Assert.Equal((await host.Api.Json("trackers/channel-mean?limit=1000000")).Count, host.AtIdle.Values);
        Assert.True(host.AtIdle is { Fringes: > 0, Values: > 0 });
    }

    [Fact]
    public async Task The_figures_have_the_contracts_names()
    {
        var text = await host.Api.Client.GetStringAsync(ApiClient.Address("ingest"));
        using var document = JsonDocument.Parse(text);
        // contract.md section 4, GET /api/v1/ingest.
        Assert.Equal("idle,pendingFiles,pendingBytes,stored,duplicates,quarantined,lastPacketTime", string.Join(',', document.RootElement.EnumerateObject().Select(p => p.Name)));
        Assert.StartsWith("2031-", document.RootElement.GetProperty("lastPacketTime").GetString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_file_in_the_inbox_is_pending_until_it_is_taken_in()
    {
        await File.WriteAllBytesAsync(Path.Combine(host.Inbox, "again.pkt"), host.Packets);
        var waiting = await host.Figures();
        Assert.Equal((false, 1, host.Packets.Length), (waiting.Idle, (int)waiting.PendingFiles, (int)waiting.PendingBytes));
        await host.WaitUntilIdle();
        Assert.Equal(waiting.Duplicates + host.FirstAnswer.GetProperty("stored").GetInt64(), (await host.Figures()).Duplicates);
    }

    [Fact]
    public async Task A_web_form_is_refused_with_how_to_send_bytes()
    {
        using var form = new MultipartFormDataContent { { new ByteArrayContent([1, 2, 3]), "file", "day.pkt" } };
        Assert.Contains("--data-binary @day.pkt", await host.Api.Refused("packets", HttpStatusCode.UnsupportedMediaType, HttpMethod.Post, form), StringComparison.Ordinal);
    }

    [Fact]
    public async Task The_content_type_of_a_plain_body_does_not_matter()
    {
        // What curl --data-binary says when it is told nothing else.
        using var body = new ByteArrayContent(host.Packets[..2000]);
        body.Headers.ContentType = new MediaTypeHeaderValue("application/x-www-form-urlencoded");
        using var answer = await host.Api.Client.PostAsync(ApiClient.Address("packets"), body);
        Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
    }

    [Fact]
    public async Task A_wrong_token_sends_nothing_in()
    {
        var before = (await host.Figures()).Duplicates;
        using var request = new HttpRequestMessage(HttpMethod.Post, ApiClient.Address("packets")) { Content = new ByteArrayContent(host.Packets) };
        request.Headers.Authorization = new AuthenticationHeaderValue("Bearer", "another token");
        using var refused = await host.Api.Client.SendAsync(request);
        Assert.Equal(HttpStatusCode.Unauthorized, refused.StatusCode);
        Assert.Equal(before, (await host.Figures()).Duplicates);
    }

    [Fact]
    public async Task The_right_token_is_let_in()
    {
        using var request = new HttpRequestMessage(HttpMethod.Post, ApiClient.Address("packets")) { Content = new ByteArrayContent(host.Packets[..2000]) };
        request.Headers.Authorization = new AuthenticationHeaderValue("Bearer", WebHost.Token);
        using var answer = await host.Api.Client.SendAsync(request);
        Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
    }
}
