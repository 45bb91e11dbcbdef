using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Coefficients.Fits;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Pipeline.Coefficients.Fits;
using Phasekeeper.Pipeline.Tests.Engine;
using Phasekeeper.Pipeline.ZeroWind;
using Phasekeeper.Storage;
using Xunit.Abstractions;
using static Phasekeeper.Pipeline.Tests.Coefficients.ShortCampaign;

namespace Phasekeeper.Pipeline.Tests.Coefficients.Fits;

/// <summary>What surrounds a window of orbits, across a change of the set, and without the orbits that are held out.</summary>
[Collection(DriftedCampaign.Collection)]
public class FitAroundTests(DriftedCampaign campaign, ITestOutputHelper output)
{
    private static readonly string[] Relative = ["optics.lampPhaseRad", "optics.visibility", "optics.lampVisibility", "optics.lampElectrons"];

    [Fact]
    public async Task New_references_are_no_event_and_turn_no_ageing_round()
    {
        using var mission = await campaign.OpenAsync();
        FitSurroundings Around(double from, double to)
        {
            var request = new FitRequest { FirstOrbit = mission.OrbitAt(from), LastOrbit = mission.OrbitAt(to), Parts = [FitPart.Visibility] };
            return new FitAround(mission.Stores, mission.Engine.Mission!).Of(FitWindow.Of(request, mission.Engine.Mission!, mission.Stores), request.Parts.ToHashSet());
        }
        var (later, across) = (Around(40, 54), Around(24, 48));
        var ageing = later.Ageing.Where(a => Relative.Contains(a.Number)).ToArray();
        Assert.Equal(16, ageing.Length);

        // Other references from the middle on: lamp phase with the zero-wind phases that follow it, visibilities, brightness.
        var set = mission.Folder.GroundSet!;
        set = set with
        {
            Name = "referenced",
            ValidFrom = mission.Engine.Mission!.Orbits.Of(mission.OrbitAt(34))!.Value.Start,
            Optics = [.. set.Optics.Select(o => o with
            {
                LampPhaseRad = o.LampPhaseRad + 0.3, ZeroWindRad = [.. o.ZeroWindRad.Select(z => z + 0.3 * o.LampRatio)], Visibility = 0.9 * o.Visibility, LampVisibility = 0.9 * o.LampVisibility, LampElectrons = 0.8 * o.LampElectrons,
            })],
        };
        var id = await mission.Desk.ProposeAsync(new() { Set = set, Reason = "a test", Source = CoefficientSource.ByHand }, Ada);
        mission.Engine.ReprocessingBatchOrbits = 60;
        await mission.ApproveAsync(id, mission.OrbitAt(34));
        await mission.DrainAsync();
        // The trackers do step, by what the references moved.
        foreach (var (tracker, step) in new[] { ("lamp-offset", -0.3), ("lamp-brightness", 1 / 0.8 - 1) })
        {
            double Value(double hour) => mission.Stores.Trackers.OfOrbit(mission.OrbitAt(hour)).Single(r => r.Key == new SeriesKey(tracker, "F", "green")).Value;
            Assert.Equal(step, Value(40) - Value(24), 0.05);
        }
        var (laterNow, acrossNow) = (Around(40, 54), Around(24, 48));
        Assert.Single(acrossNow.SetChanges);
        foreach (var e in acrossNow.Events) output.WriteLine(e.Text);
        Assert.Equal(across.Events.Where(Stepped).Select(e => (e.Text, e.View, e.Line)), acrossNow.Events.Where(Stepped).Select(e => (e.Text, e.View, e.Line)));
        var now = laterNow.Ageing.Where(a => Relative.Contains(a.Number)).ToArray();
        Assert.Equal(ageing.Select(a => (a.Number, a.View, a.Line)), now.Select(a => (a.Number, a.View, a.Line)));
        foreach (var (was, a) in ageing.Zip(now))
        {
            output.WriteLine($"{a.Number} {a.View} {a.Line}: {was.LowPerMonth:G4} … {was.HighPerMonth:G4}, now {a.LowPerMonth:G4} … {a.HighPerMonth:G4}");
            var width = was.HighPerMonth - was.LowPerMonth;
            Assert.Equal(0, (a.LowPerMonth - was.LowPerMonth) / width, 0.02);
            Assert.Equal(0, (a.HighPerMonth - was.HighPerMonth) / width, 0.02);
        }
    }

    [Fact]
    public async Task The_zero_wind_of_a_fit_is_solved_without_the_orbits_that_are_held_out()
    {
        using var mission = await campaign.OpenAsync();
        var state = mission.Engine.Mission!;
        FitWindow Window(int every) => FitWindow.Of(new() { FirstOrbit = mission.OrbitAt(12), LastOrbit = mission.OrbitAt(50), Parts = [FitPart.ZeroWind], HoldOutEvery = every }, state, mission.Stores);
        FitSurroundings Around(FitWindow window, params FitPart[] parts) => new FitAround(mission.Stores, state).Of(window, parts.ToHashSet());
        var (all, without) = (Window(0), Window(4));
        var stored = Around(all, FitPart.ZeroWind).ZeroWind;
        var solved = Around(without, FitPart.ZeroWind).ZeroWind;
        var sums = mission.Stores.WindSums.Read(Start.AddSeconds(-86400), Start.AddSeconds(86400 * 5), WindSums.ZeroPhases(mission.Folder.GroundSet!));
        Assert.Equal(["green", "red"], solved.Select(z => z.Line));
        foreach (var (whole, fewer) in stored.Zip(solved))
        {
            output.WriteLine($"{whole.Line}: {whole.Orbits} orbits with all winds until {whole.To}, {fewer.Orbits} without those held out");
            // Only orbits before the day of the solution that have good winds of the line are in it at all.
            var seen = sums.Where(s => s.Start <= whole.To && s.Cells.Any(c => c.Line == whole.Line)).Select(s => s.Orbit).ToHashSet();
            Assert.Equal(seen.Count, whole.Orbits);
            var held = without.HeldOut.Concat(without.HeldOutLater).Count(o => seen.Contains(o.Number));
            Assert.True(held >= 4, $"{held} orbits held out lie before {whole.To}");
            Assert.Equal(whole.Orbits - held, fewer.Orbits);
        }
        Assert.Empty(Around(without, FitPart.Dark).ZeroWind);
    }

    private static bool Stepped(FitEvent e) => e.Text.Contains(" stepped by ", StringComparison.Ordinal);
}
