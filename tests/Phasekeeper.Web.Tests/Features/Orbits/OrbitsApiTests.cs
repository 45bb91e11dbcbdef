using Phasekeeper.Pipeline;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Orbits;

[Collection(ShortMission.Collection)]
public sealed class OrbitsApiTests(ShortMission host)
{
    // contract.md section 4, and behind its columns what made the orbit.
    private const string Columns = "orbit,start,end,betaDeg,eclipseFraction,expectedExposures,receivedExposures,verdict,coefficientSet,softwareVersion,held";

    [Fact]
    public Task Orbits_have_the_contracts_columns_in_json_and_csv() => host.Api.Holds("orbits", Columns);

    [Fact]
    public async Task Pages_hold_every_orbit_once()
    {
        var all = await host.Api.Json("orbits");
        Assert.Equal(all.Select(o => o.GetRawText()), (await host.Api.Paged("orbits", 1)).Select(o => o.GetRawText()));
    }

    [Fact]
    public async Task From_is_inclusive_and_to_exclusive_and_counts_the_start()
    {
        var all = await host.Api.Json("orbits");
        var second = all[1].GetProperty("start").GetString();
        Assert.Equal(all.Skip(1).Select(o => o.GetRawText()), (await host.Api.Json($"orbits?from={second}")).Select(o => o.GetRawText()));
        Assert.Equal(all[0].GetRawText(), Assert.Single(await host.Api.Json($"orbits?to={second}")).GetRawText());
    }

    [Fact]
    public async Task Orbits_follow_one_another_and_count_what_arrived()
    {
        var all = await host.Api.Json("orbits");
        for (var i = 1; i < all.Count; i++)
        {
            Assert.Equal(all[i - 1].GetProperty("end").GetString(), all[i].GetProperty("start").GetString());
            Assert.Equal(all[i - 1].GetProperty("orbit").GetInt32() + 1, all[i].GetProperty("orbit").GetInt32());
        }
        Assert.True(all.Sum(o => o.GetProperty("receivedExposures").GetInt32()) >= 7);
        Assert.All(all, o => Assert.Equal((1, SoftwareVersion.Current), (o.GetProperty("coefficientSet").GetInt64(), o.GetProperty("softwareVersion").GetString())));
        Assert.All(all, o => Assert.Contains(o.GetProperty("verdict").GetString(), (string[])["usable", "remarks", "held", "incomplete"]));
    }
}
