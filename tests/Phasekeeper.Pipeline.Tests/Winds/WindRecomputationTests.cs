using Phasekeeper.Core.Time;
using Phasekeeper.Core.Winds;
using Phasekeeper.Demo.Scenario;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Pipeline.Tests.Engine;
using Phasekeeper.Pipeline.Winds;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Tests.Winds;

/// <summary>What each correction does to the demo's winds, against what the scenario put in.</summary>
public sealed class WindRecomputationTests : IAsyncLifetime
{
    private static readonly ScenarioGenerator Generator = new(DemoScenario.Default, events: []);
    private TestMission mission = null!;
    private OrbitSlot orbit;

    public async Task InitializeAsync()
    {
        mission = await TestMission.StartAsync(Generator);
        var start = DemoScenario.Default.Start.AddSeconds(86_400);
        await mission.TakeAsync(Generator.PacketsFor(start, start.AddSeconds(2.2 * 5760)));
        await mission.DrainAsync();
        orbit = mission.Engine.Mission!.Orbits.Of(mission.Stores.Orbits.Touching(Instant.MinValue, Instant.MaxValue).OrderByDescending(o => o.ReceivedExposures).First().Orbit)!.Value;
    }

    public Task DisposeAsync()
    {
        mission.Dispose();
        return Task.CompletedTask;
    }

    [Fact]
    public void Made_again_with_all_corrections_they_are_the_stored_winds_and_each_correction_does_what_it_should()
    {
        var with = Vectors(null);
        var stored = mission.Stores.WindVectors.OfOrbit(orbit.Number).SelectMany(v => v.Vectors).ToDictionary(Key);
        Assert.True(with.Count > 200, $"{with.Count} vectors");
        // Where both looks lie well within the orbit, nothing but the two exposures and their neighbours went in.
        var inside = with.Values.Where(v => v.Time.AddSeconds(-900) > orbit.Start && v.Time.AddSeconds(900) < orbit.End).ToList();
        Assert.All(inside, v => Assert.Equal((stored[Key(v)].EastwardMs, stored[Key(v)].NorthwardMs), (v.EastwardMs, v.NorthwardMs)));
        Assert.Equal(with.Count, mission.Stores.WindVectors.OfOrbit(orbit.Number).Sum(v => v.Vectors.Count(x => with.ContainsKey(Key(x)))));

        // Uncorrected temperature swings make errors several times the winds; the satellite is about a hundred times as fast as they are; the Earth turns by up to 500 m/s.
        var good = with.Where(v => v.Value.Quality == WindQuality.Good).ToDictionary();
        Assert.True(good.Count > 20, $"{good.Count} good vectors");
        var winds = Rms(good.Values.Select(v => (v.EastwardMs, v.NorthwardMs)));
        Assert.True(Change(WindCorrection.LampAndThermal, good) > 2 * winds, "thermal");
        Assert.InRange(Change(WindCorrection.SatelliteVelocity, good), 2500, 8000);
        Assert.InRange(Change(WindCorrection.EarthRotation, good), 100, 500);
        Assert.True(Change(WindCorrection.Inversion, good) > 0.5, "inversion");
        // Scene and lamp share the shift: little is left of it, but not nothing.
        Assert.InRange(Change(WindCorrection.ImageShift, good), 0.01, 0.2 * Change(WindCorrection.LampAndThermal, good));
        Assert.True(Change(WindCorrection.ZeroWind, good) > 1, "zero wind");
    }

    private Dictionary<(string, long, int), WindVector> Vectors(WindCorrection? off) =>
        new WindRecomputation(mission.Stores).Vectors(orbit, mission.Engine.Mission!, mission.Stores.Archive.LastPacketTime!.Value, off, CancellationToken.None).SelectMany(v => v.Vectors).ToDictionary(Key);

    private double Change(WindCorrection off, Dictionary<(string, long, int), WindVector> with)
    {
        var without = Vectors(off);
        return Rms(with.Where(w => without.ContainsKey(w.Key)).Select(w => (without[w.Key].EastwardMs - w.Value.EastwardMs, without[w.Key].NorthwardMs - w.Value.NorthwardMs)));
    }

    private static double Rms(IEnumerable<(double East, double North)> values) => Math.Sqrt(values.Average(v => v.East * v.East + v.North * v.North));

    private static (string, long, int) Key(WindVector v) => (v.Line, v.SecondExposure, v.Row);
}
