using System.Net;
using System.Net.Http.Json;
using System.Text.Json;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Coefficients;

[Collection(ShortMission.Collection)]
public sealed class CoefficientsApiTests(ShortMission host)
{
    [Fact]
    public async Task The_ground_set_is_in_force_from_the_beginning()
    {
        var set = Assert.Single(await host.Api.Json("coefficients"));
        Assert.Equal("approved", set.GetProperty("state").GetString());
        Assert.Equal("approved", Assert.Single(set.GetProperty("decisions").EnumerateArray()).GetProperty("decision").GetString());
        var stretch = Assert.Single(set.GetProperty("inForce").EnumerateArray());
        Assert.Equal((JsonValueKind.Null, JsonValueKind.Null), (stretch.GetProperty("from").ValueKind, stretch.GetProperty("to").ValueKind));
    }

    [Fact]
    public async Task A_sets_numbers_are_there_to_read()
    {
        var id = (await host.Api.Json("coefficients"))[0].GetProperty("id").GetInt64();
        var content = await host.Api.Client.GetFromJsonAsync<JsonElement>(ApiClient.Address($"coefficients/{id}"));
        Assert.Equal(JsonValueKind.Object, content.ValueKind);
        Assert.Equal($"There is no coefficient set '99'; expected one of {id}.", await host.Api.Refused("coefficients/99", HttpStatusCode.NotFound));
    }
}
