using System.Net;
using System.Text.Json;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Pipeline;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Trackers;

[Collection(ShortMission.Collection)]
public sealed class TrackersApiTests(ShortMission host)
{
    // contract.md section 4, and behind its columns what tells series of one tracker apart.
    private const string SeriesColumns = "id,title,unit,view,line,definition,advice,channel,movedBy";
    private const string ValueColumns = "orbit,time,value,sigma,n,expected,ewma,cusumHigh,cusumLow,state,view,line,channel,coefficientSet,softwareVersion";

    [Fact]
    public Task Trackers_have_the_contracts_columns_in_json_and_csv() => host.Api.Holds("trackers", SeriesColumns);

    [Theory]
    [InlineData("channel-mean")]
    [InlineData("lamp-brightness")]
    public Task Values_have_the_contracts_columns_in_json_and_csv(string tracker) => host.Api.Holds($"trackers/{tracker}", ValueColumns);

    [Fact]
    public async Task Values_say_which_set_and_which_version_of_the_program_made_them()
    {
        foreach (var tracker in new[] { "channel-mean", "lamp-brightness" })
            Assert.All(await host.Api.Json($"trackers/{tracker}?limit=1000000"), v => Assert.Equal((1, SoftwareVersion.Current), (v.GetProperty("coefficientSet").GetInt64(), v.GetProperty("softwareVersion").GetString())));
    }

    [Fact]
    public async Task Every_tracker_is_listed_with_definition_and_advice()
    {
        var all = await host.Api.Json("trackers");
        Assert.Equal(TrackerCatalog.All.Select(t => t.Info.Id), all.Select(t => t.GetProperty("id").GetString()!).Distinct());
        Assert.All(all, t => Assert.All(new[] { "title", "definition", "advice" }, key => Assert.NotEmpty(t.GetProperty(key).GetString()!)));
        // A channel may have no unit (a count, a state); every other tracker has one.
        Assert.All(all.Where(t => t.GetProperty("channel").ValueKind == JsonValueKind.Null), t => Assert.NotEmpty(t.GetProperty("unit").GetString()!));
    }

    [Fact]
    public async Task A_series_is_an_item_each_and_a_channels_tracker_has_its_unit()
    {
        var all = await host.Api.Json("trackers");
        Assert.Equal(4, all.Count(t => t.GetProperty("id").GetString() == "lamp-brightness"));
        var mean = all.Single(t => t.GetProperty("id").GetString() == "channel-mean" && t.GetProperty("channel").GetString() == "BUS_V");
        Assert.Equal("V", mean.GetProperty("unit").GetString());
    }

    [Fact]
    public async Task View_line_and_channel_narrow_the_values_to_one_series()
    {
        var all = await host.Api.Json("trackers/lamp-brightness");
        var one = await host.Api.Json("trackers/lamp-brightness?view=F&line=red");
        Assert.Equal(all.Where(v => (v.GetProperty("view").GetString(), v.GetProperty("line").GetString()) == ("F", "red")).Select(v => v.GetRawText()), one.Select(v => v.GetRawText()));
        Assert.NotEmpty(one);
        var channel = await host.Api.Json("trackers/channel-mean?channel=BUS_V");
        Assert.NotEmpty(channel);
        Assert.All(channel, v => Assert.Equal("BUS_V", v.GetProperty("channel").GetString()));
    }

    [Theory]
    [InlineData("trackers", 11)]
    [InlineData("trackers/channel-mean", 11)]
    public async Task Pages_hold_everything_once(string call, int limit) =>
        Assert.Equal((await host.Api.Json(call)).Select(i => i.GetRawText()), (await host.Api.Paged(call, limit)).Select(i => i.GetRawText()));

    [Fact]
    public async Task From_is_inclusive_and_to_exclusive()
    {
        var all = await host.Api.Json("trackers/channel-mean?channel=BUS_V");
        var time = all[1].GetProperty("time").GetString();
        Assert.Equal(all.Skip(1).Select(v => v.GetRawText()), (await host.Api.Json($"trackers/channel-mean?channel=BUS_V&from={time}")).Select(v => v.GetRawText()));
        Assert.Equal(all[0].GetRawText(), Assert.Single(await host.Api.Json($"trackers/channel-mean?channel=BUS_V&to={time}")).GetRawText());
    }

    [Fact]
    public async Task Names_that_are_not_there_are_answered_with_those_that_are()
    {
        Assert.Contains("expected one of thermal-residual-wind, ", await host.Api.Refused("trackers/luck", HttpStatusCode.NotFound), StringComparison.Ordinal);
        Assert.Contains("There is no channel 'X'; expected one of ", await host.Api.Refused("trackers/channel-mean?channel=X", HttpStatusCode.BadRequest), StringComparison.Ordinal);
        Assert.Contains("expected one of F, A.", await host.Api.Refused("trackers/lamp-brightness?view=f", HttpStatusCode.BadRequest), StringComparison.Ordinal);
    }
}
