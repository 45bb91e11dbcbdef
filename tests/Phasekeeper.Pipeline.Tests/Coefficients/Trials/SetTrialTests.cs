using System.Diagnostics;
using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Pipeline.Coefficients.Trials;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Pipeline.Tests.Engine;
using Phasekeeper.Storage;
using Xunit.Abstractions;
using static Phasekeeper.Pipeline.Tests.Coefficients.ShortCampaign;

namespace Phasekeeper.Pipeline.Tests.Coefficients.Trials;

/// <summary>A trial is the ordinary computation: with the set in force it gives what is stored, bit for bit.</summary>
public class SetTrialTests(ITestOutputHelper output)
{
    [Fact]
    public async Task With_the_set_in_force_a_trial_gives_the_stored_products_bit_for_bit_and_stores_nothing()
    {
        using var mission = await TestMission.StartAsync(Generator);
        await mission.TakeAsync(PacketsOf(0, 5.5));
        await mission.DrainAsync();
        var before = mission.Products();
        var state = mission.Engine.Mission!;
        var trial = new SetTrial(mission.Stores, state, state.Coefficients.Entries[0], useStored: false);
        var orbit = state.Orbits.Of(mission.OrbitAt(2.5))!.Value;
        var watch = Stopwatch.StartNew();

        var found = trial.Input(orbit);
        output.WriteLine($"input {watch.Elapsed.TotalSeconds:0.00} s");
        var stored = new OrbitInputReader(mission.Stores).Read(orbit, state, mission.Stores.Archive.LastPacketTime!.Value, OrbitSky.Of(orbit, state));
        Assert.Equal(stored.Fringes.Count, found.Fringes.Count);
        Assert.Equal(FringeText(stored.Fringes), FringeText(found.Fringes));
        Assert.Equal(FringeText(stored.NeighbourLamps), FringeText(found.NeighbourLamps));
        Assert.Equal(stored.NeighbourShifts, found.NeighbourShifts);
        var values = TrackerCatalog.Compute(new OrbitAnalysis(found), TrackerSource.Measurements);
        var kept = mission.Stores.Trackers.OfOrbit(orbit.Number).ToDictionary(r => r.Key, r => r.ToValue());
        Assert.True(values.Count > 20);
        Assert.All(values, v => Assert.Equal(kept[v.Key], v));

        watch.Restart();
        var winds = trial.Winds(orbit, CancellationToken.None);
        output.WriteLine($"winds {watch.Elapsed.TotalSeconds:0.00} s");
        var expected = mission.Stores.Winds.OfOrbit(orbit.Number);
        Assert.NotEmpty(expected);
        Assert.Equal(expected.Select(w => Convert.ToHexString(w.InputHash)), winds.Select(w => Convert.ToHexString(w.InputHash)));
        Assert.Equal(expected.SelectMany(w => w.Profile.Rows).Select(r => (r.WindMs, r.SigmaMs, r.Quality)), winds.SelectMany(w => w.Profile.Rows).Select(r => (r.WindMs, r.SigmaMs, r.Quality)));
        Assert.Equal(before, mission.Products());
    }

    [Fact]
    public async Task Numbers_that_the_retrieval_does_not_read_change_no_fringe_and_all_others_do()
    {
        using var mission = await TestMission.StartAsync(Generator);
        await mission.TakeAsync(PacketsOf(0, 1.9));
        await mission.DrainAsync();
        var state = mission.Engine.Mission!;
        var ground = state.Coefficients.Entries[0].Set;
        var orbit = state.Orbits.Of(mission.OrbitAt(1))!.Value;
        string Fringes(CoefficientSet set) => FringeText(new SetTrial(mission.Stores, state, CoefficientSets.New(set), useStored: false).Input(orbit).Fringes);
        var expected = Fringes(ground);
        // All that counts as not read, changed at once.
        var unread = ground with
        {
            Name = "other",
            Optics = [.. ground.Optics.Select(o => o with { Thermal = new(2 * o.Thermal.RadPerK, 2 * o.Thermal.LagS, 3), LampRatio = 1.1, LampPhaseRad = 1, LampElectrons = 2 * o.LampElectrons, LampVisibility = 0.3, Visibility = 0.2 })],
        };
        Assert.True(RetrievalNumbers.Same(ground, unread));
        Assert.Equal(expected, Fringes(unread));
        CoefficientSet[] read =
        [
            ground with { Dark = ground.Dark with { RateElectronsPerS = ground.Dark.RateElectronsPerS + 1 } },
            ground with { Optics = [.. ground.Optics.Select(o => o with { ZeroWindRad = [.. o.ZeroWindRad.Select(z => z + 0.1)] })] },
            ground with { BadSamples = [.. ground.BadSamples, new("F", "green", 3, 100)] },
        ];
        foreach (var set in read)
        {
            Assert.False(RetrievalNumbers.Same(ground, set));
            Assert.NotEqual(expected, Fringes(set));
        }
    }

    private static string FringeText(IReadOnlyList<Core.Fringes.FringeResult> fringes) => string.Join('\n', fringes.Select(f =>
        $"{f.Time.TaiNanoseconds} {f.Exposure} {f.Kind} {f.View} {f.Line} {f.ImageShiftSamples:R} {f.ImageShiftSigmaSamples:R} {f.FrequencyOffsetPpm:R} {Convert.ToHexString(FringeVectors.Encode(f))}"));
}
