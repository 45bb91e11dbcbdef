using Phasekeeper.Core.Trackers;
using Phasekeeper.Pipeline.Coefficients.Evidence;
using Phasekeeper.Pipeline.Coefficients.Trials;

namespace Phasekeeper.Pipeline.Tests.Coefficients.Evidence;

/// <summary>Charts of the flag outlook go on from the orbits before where the proposed set's values there can be told.</summary>
[Collection(DriftedCampaign.Collection)]
public class FlagForecastTests(DriftedCampaign campaign)
{
    [Fact]
    public async Task Charts_go_on_where_a_set_moves_a_series_by_the_same_on_every_orbit()
    {
        using var mission = await campaign.OpenAsync();
        var state = mission.Engine.Mission!;
        var orbits = LookedAtOrbits.Complete(mission.OrbitAt(26), mission.OrbitAt(54), state, mission.Stores);
        var ids = TrackerCatalog.IdsOf(TrackerSource.Measurements);
        TrackerValue[] values = [.. orbits.SelectMany(o => mission.Stores.Trackers.OfOrbit(o.Number)).Where(r => ids.Contains(r.Key.Tracker)).Select(r => r.ToValue())];
        var before = new FlagGround(values, [], state);
        FlagDifferences Of(IReadOnlyList<TrackerValue> after, long against = 1) => new FlagForecast(mission.Stores, state, against).Of(before, before with { Values = after }, orbits);

        // The same set: all that was there before goes on, and nothing differs. The slopes' charts speak only since they began sixteen orbits earlier.
        var same = Of(values);
        Assert.True(same.Continued > 30, $"{same.Continued} of {same.Continued + same.BegunAnew}");
        Assert.Empty(same.Appearing.Concat(same.Vanishing));

        // Right slopes on all orbits, by a constant: the wrong ones' drift would vanish.
        bool IsSlope(TrackerValue v) => v.Key.Tracker == "thermal-slope";
        var right = Of([.. values.Select(v => IsSlope(v) ? v with { Value = v.Value + 0.02 } : v)]);
        Assert.Equal(same.Continued, right.Continued);
        Assert.Contains(right.Vanishing, f => f.Rule == "drift" && f.Subject == "thermal-slope");
        Assert.Empty(right.Appearing);

        // By another amount on every orbit: these four begin anew, with both sets, and have too few orbits to speak.
        var uneven = Of([.. values.Select(v => IsSlope(v) ? v with { Value = v.Value + 0.02 + 0.002 * (v.Orbit % 2) } : v)]);
        Assert.Equal((same.Continued - 4, same.BegunAnew + 4), (uneven.Continued, uneven.BegunAnew));
        Assert.Empty(uneven.Vanishing);
        // The orbits before were made with another set than the one that is compared with.
        Assert.Equal(0, Of(values, against: 7).Continued);
    }
}
