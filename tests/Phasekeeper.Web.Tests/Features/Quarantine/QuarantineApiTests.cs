using System.Net;
using System.Text.Json;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Quarantine;

[Collection(ShortMission.Collection)]
public sealed class QuarantineApiTests(ShortMission host)
{
    // contract.md section 4, and what is known besides behind its columns.
    private const string Columns = "id,received,source,offset,length,reason,kind,state,kept";

    [Fact]
    public async Task What_cannot_be_decoded_waits_with_its_bytes_and_reason()
    {
        var piece = Damaged(1);
        await host.Post(piece);
        await host.Api.Holds("quarantine", Columns);
        var item = (await host.Api.Json("quarantine"))[0];
        Assert.Equal("api", item.GetProperty("source").GetString());
        Assert.Equal((0, piece.Length), (item.GetProperty("offset").GetInt32(), item.GetProperty("length").GetInt32()));
        Assert.NotEmpty(item.GetProperty("reason").GetString()!);
        Assert.Equal(piece, await host.Api.Client.GetByteArrayAsync(ApiClient.Address($"quarantine/{Id(item)}/bytes")));
    }

    [Fact]
    public async Task A_piece_that_still_cannot_be_decoded_waits_on()
    {
        await host.Post(Damaged(2));
        var item = (await host.Api.Json("quarantine"))[0];
        using var answer = await host.Api.Client.PostAsync(ApiClient.Address($"quarantine/{Id(item)}/retry"), null);
        Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
        Assert.Contains(await host.Api.Json("quarantine"), i => Id(i) == Id(item));
    }

    [Fact]
    public async Task A_discarded_piece_leaves_the_list_and_stays_on_record()
    {
        await host.Post(Damaged(3));
        var id = Id((await host.Api.Json("quarantine"))[0]);
        using var answer = await host.Api.Client.PostAsync(ApiClient.Address($"quarantine/{id}/discard"), null);
        Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
        Assert.DoesNotContain(await host.Api.Json("quarantine"), i => Id(i) == id);
        Assert.Contains(await host.Api.Json("quarantine?state=discarded"), i => Id(i) == id);
        Assert.Contains("is discarded", await host.Api.Refused($"quarantine/{id}/discard", HttpStatusCode.Conflict, HttpMethod.Post), StringComparison.Ordinal);
        Assert.Contains("is discarded", await host.Api.Refused($"quarantine/{id}/retry", HttpStatusCode.Conflict, HttpMethod.Post), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Pages_hold_every_piece_once()
    {
        for (byte i = 10; i < 15; i++) await host.Post(Damaged(i));
        var all = await host.Api.Json("quarantine?state=all");
        Assert.Equal(all.Select(i => i.GetRawText()), (await host.Api.Paged("quarantine?state=all", 2)).Select(i => i.GetRawText()));
    }

    [Fact]
    public async Task Ids_that_are_not_there_are_told()
    {
        Assert.Equal("There is no quarantine item '999999'.", await host.Api.Refused("quarantine/999999/bytes", HttpStatusCode.NotFound));
        Assert.Equal("The id of a quarantine item is a whole number; found 'x'.", await host.Api.Refused("quarantine/x/retry", HttpStatusCode.BadRequest, HttpMethod.Post));
    }

    private static long Id(JsonElement item) => item.GetProperty("id").GetInt64();

    // A packet of the mission with one byte of its data changed: the checksum tells.
    private byte[] Damaged(byte change)
    {
        var length = 7 + (host.Packets[4] << 8 | host.Packets[5]);
        var packet = host.Packets[..length];
        packet[^3] ^= change;
        return packet;
    }
}
