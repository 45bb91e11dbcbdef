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

    [Fact]
    public void Without_the_inversion_winds_have_the_apparent_winds_covariance()
    {
        var (with, without) = (Vectors(null), Vectors(WindCorrection.Inversion));
        var profiles = mission.Stores.Winds.OfOrbit(orbit.Number).ToDictionary(w => (w.Profile.Exposure, w.Profile.View, w.Profile.Line), w => w.Profile);
        var (first, second) = (mission.Engine.Mission!.Instrument!.Views[0].Id, mission.Engine.Mission!.Instrument!.Views[1].Id);
        var compared = 0;
        foreach (var (key, v) in without.Where(v => with.TryGetValue(v.Key, out var w) && w.Quality == WindQuality.Good))
        {
            if (!profiles.TryGetValue((v.FirstExposure, first, v.Line), out var ahead) || !profiles.TryGetValue((v.SecondExposure, second, v.Line), out var place)) continue;
            // The looks are at right angles, so both variances add up to the two looks' over sin²; the first look is a mean of two exposures, and the wind may change between the looks.
            var nearest = ahead.Rows.Where(r => double.IsFinite(r.ApparentMs)).MinBy(r => Math.Abs(r.AltitudeKm - v.AltitudeKm))!;
            var row = place.Rows[v.Row];
            var sine = Math.Sin(row.AzimuthRad - nearest.AzimuthRad);
            var changes = Math.Pow(WindVectorMatcher.ChangeMsPerHour * v.SecondsBetweenLooks / 3600, 2) + Math.Pow(1e-3 * v.SeparationKm * WindVectorMatcher.AcrossTrackGradient, 2);
            var looks = (v.EastwardSigmaMs * v.EastwardSigmaMs + v.NorthwardSigmaMs * v.NorthwardSigmaMs) * sine * sine - changes;
            // The place's own look is exact; the first look lies between none and all of its nearest row's variance, and a little more where its neighbours are noisier.
            Assert.InRange(looks, 0.9 * row.ApparentSigmaMs * row.ApparentSigmaMs, 1.1 * row.ApparentSigmaMs * row.ApparentSigmaMs + 3 * nearest.ApparentSigmaMs * nearest.ApparentSigmaMs);
            // What smoothing adds is gone.
            if (v.EastwardSigmaMs < with[key].EastwardSigmaMs) compared++;
        }
        Assert.True(compared > 20, $"{compared} vectors");
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
