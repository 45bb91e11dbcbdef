using System.Net;
using Phasekeeper.Packets.Xtce;
using Phasekeeper.Web.Features.Channels;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Channels;

[Collection(ShortMission.Collection)]
public sealed class ChannelsApiTests(ShortMission host)
{
    // The example channel of contract.md: the demo's interferometer temperature, a packet every 10 s.
    private const string Channel = "IFO_T1";

    [Fact]
    public Task Channels_have_the_contracts_columns_in_json_and_csv() => host.Api.Holds("channels", "name,unit,description,role,firstTime,lastTime,count");

    [Fact]
    public Task Samples_have_the_contracts_columns_in_json_and_csv() => host.Api.Holds($"channels/{Channel}", "time,value,label,state");

    [Theory]
    [InlineData("minute")]
    [InlineData("orbit")]
    public Task Roll_ups_have_the_contracts_columns_in_json_and_csv(string resolution) => host.Api.Holds($"channels/{Channel}?resolution={resolution}", "start,min,mean,max,count");

    [Theory]
    [InlineData("channels", 7)]
    [InlineData("channels/IFO_T1?resolution=raw", 100)]
    [InlineData("channels/IFO_T1?resolution=minute", 7)]
    [InlineData("channels/IFO_T1?resolution=orbit", 1)]
    public async Task Pages_hold_everything_once(string call, int limit) =>
        Assert.Equal((await host.Api.Json(call)).Select(i => i.GetRawText()), (await host.Api.Paged(call, limit)).Select(i => i.GetRawText()));

    [Fact]
    public async Task A_channel_says_what_it_is_and_what_arrived()
    {
        var channel = (await host.Api.Json("channels")).Single(c => c.GetProperty("name").GetString() == Channel);
        Assert.Equal("interferometerTemperature", channel.GetProperty("role").GetString());
        var samples = await host.Api.Json($"channels/{Channel}");
        Assert.Equal(samples.Count, channel.GetProperty("count").GetInt64());
        Assert.Equal(samples[0].GetProperty("time").GetString(), channel.GetProperty("firstTime").GetString());
        Assert.Equal(samples[^1].GetProperty("time").GetString(), channel.GetProperty("lastTime").GetString());
        Assert.All(samples, s => Assert.InRange(s.GetProperty("value").GetDouble(), 12, 28));
    }

    [Fact]
    public async Task A_minute_holds_extremes_and_mean_of_its_samples()
    {
        var from = ShortMission.Start;
        var values = (await host.Api.Json($"channels/{Channel}?from={from}&to={from.AddSeconds(60)}")).Select(s => s.GetProperty("value").GetDouble()).ToArray();
        var minute = Assert.Single(await host.Api.Json($"channels/{Channel}?resolution=minute&from={from}&to={from.AddSeconds(60)}"));
        Assert.Equal(from.ToString(), minute.GetProperty("start").GetString());
        Assert.Equal(6, values.Length);
        Assert.Equal((values.Min(), values.Max(), 6), (minute.GetProperty("min").GetDouble(), minute.GetProperty("max").GetDouble(), minute.GetProperty("count").GetInt32()));
        Assert.Equal(values.Average(), minute.GetProperty("mean").GetDouble(), 1e-9);
    }

    [Fact]
    public async Task From_is_inclusive_and_to_exclusive()
    {
        var all = await host.Api.Json($"channels/{Channel}");
        var (from, to) = (all[3].GetProperty("time").GetString(), all[8].GetProperty("time").GetString());
        Assert.Equal(all.Take(8).Skip(3).Select(s => s.GetRawText()), (await host.Api.Json($"channels/{Channel}?from={from}&to={to}")).Select(s => s.GetRawText()));
    }

    [Fact]
    public async Task An_unknown_channel_is_answered_with_those_that_there_are()
    {
        var detail = await host.Api.Refused("channels/IFO_T9", HttpStatusCode.NotFound);
        Assert.StartsWith("There is no channel 'IFO_T9'; expected one of ", detail, StringComparison.Ordinal);
        Assert.Contains(Channel, detail, StringComparison.Ordinal);
    }

    [Fact]
    public async Task An_unknown_resolution_is_answered_with_the_known_ones() =>
        Assert.Contains("found 'hour'; expected one of raw, minute, orbit", await host.Api.Refused($"channels/{Channel}?resolution=hour", HttpStatusCode.BadRequest), StringComparison.Ordinal);

    [Theory]
    [InlineData(20, null, "normal")]
    [InlineData(31, null, "watch")]
    [InlineData(41, null, "critical")]
    [InlineData(double.NaN, null, "normal")]
    public void The_state_of_a_number_follows_from_the_alarm_ranges(double value, string? label, string state)
    {
        var ranges = new AlarmRanges([new(AlarmLevel.Watch, 10, false, 30, false), new(AlarmLevel.Critical, 0, false, 40, false)], Inside: false, MinViolations: 1);
        var parameter = new Packets.Decoding.ParameterInfo(0, "T", "/T", default, "degC", null, null, ranges, null);
        Assert.Equal(state, new ChannelStates(parameter).Of(value, label));
    }

    [Theory]
    [InlineData("ON", "normal")]
    [InlineData("TRIPPED", "severe")]
    [InlineData(null, "warning")]
    public void The_state_of_a_label_follows_from_its_alarms(string? label, string state)
    {
        var labels = new EnumerationTable([(0, 0, "ON"), (1, 1, "TRIPPED")]);
        var alarms = new EnumerationAlarms([AlarmLevel.Normal, AlarmLevel.Severe], AlarmLevel.Warning, 1);
        var parameter = new Packets.Decoding.ParameterInfo(0, "M", "/M", default, "", null, labels, null, alarms);
        Assert.Equal(state, new ChannelStates(parameter).Of(0, label));
    }
}
