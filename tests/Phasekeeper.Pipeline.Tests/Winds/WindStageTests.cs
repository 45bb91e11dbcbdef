using Phasekeeper.Core.Time;
using Phasekeeper.Core.Winds;
using Phasekeeper.Demo.ForwardModel;
using Phasekeeper.Demo.Scenario;
using Phasekeeper.Packets.Ccsds;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Pipeline.Tests.Engine;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Tests.Winds;

/// <summary>Winds of the demo mission through the pipeline: what is made, from what, and what late data make anew.</summary>
public class WindStageTests
{
    private const double OrbitS = 5760;
    private static readonly ScenarioGenerator Generator = new(DemoScenario.Default);
    private static readonly Instant Start = DemoScenario.Default.Start.AddSeconds(2 * 86400);

    [Fact]
    public async Task Every_scene_has_winds_whose_budget_adds_up_and_vectors_belong_to_the_orbit_of_the_earlier_look()
    {
        using var mission = await TestMission.StartAsync(Generator);
        await mission.TakeAsync(Generator.PacketsFor(Start, Start.AddSeconds(2.5 * OrbitS)));
        await mission.DrainAsync();
        Assert.True(mission.Stores.Work.IsEmpty);

        var winds = All(mission);
        Assert.Equal(mission.Stores.Fringes.Read(Instant.MinValue, Instant.MaxValue, Core.Fringes.ExposureKind.Scene).Select(f => (f.Result.Time, f.Result.View, f.Result.Line)).Order(),
            winds.Select(w => (w.Profile.Time, w.Profile.View, w.Profile.Line)).Order());
        var rows = winds.SelectMany(w => w.Profile.Rows).Where(r => double.IsFinite(r.WindMs)).ToList();
        Assert.True(rows.Count > 2000, $"{rows.Count} winds");
        Assert.All(rows, r => Assert.Equal(r.SigmaMs, r.Budget.TotalMs, 1e-4 * r.SigmaMs));
        Assert.All(rows, r => Assert.True(r.Budget is { EphemerisMs: > 0, AttitudeMs: > 0, PhotonMs: > 0 }));
        Assert.All(winds, w => Assert.Equal(w.Orbit, mission.Engine.Mission!.Orbits.At(w.Profile.Time)!.Value.Number));
        Assert.All(winds, w => Assert.NotNull(w.EphemerisFile));

        var orbits = mission.Stores.Orbits.Touching(Instant.MinValue, Instant.MaxValue);
        var vectors = orbits.SelectMany(o => mission.Stores.WindVectors.OfOrbit(o.Orbit)).ToList();
        Assert.True(vectors.Sum(v => v.Vectors.Count) > 500, $"{vectors.Sum(v => v.Vectors.Count)} vectors");
        Assert.All(vectors.SelectMany(v => v.Vectors.Select(x => (v.Orbit, x))), v =>
            Assert.Equal(v.Orbit, mission.Engine.Mission!.Orbits.At(v.x.Time.AddSeconds(-v.x.SecondsBetweenLooks / 2))!.Value.Number));
        // No vector twice, also where its looks lie in two orbits; some do.
        Assert.Equal(vectors.Sum(v => v.Vectors.Count), vectors.SelectMany(v => v.Vectors).Select(x => (x.Line, x.SecondExposure, x.Row)).Distinct().Count());
        Assert.Contains(vectors, v => mission.Engine.Mission!.Orbits.At(v.ExposureTime)!.Value.Number == v.Orbit + 1);
    }

    [Fact]
    public async Task Trackers_of_winds_stand_beside_those_of_the_orbit_stage_and_neither_removes_the_other()
    {
        using var mission = await TestMission.StartAsync(Generator);
        await mission.TakeAsync(Generator.PacketsFor(Start, Start.AddSeconds(1.2 * OrbitS)));
        await mission.DrainAsync();
        string[] Trackers() => [.. mission.Stores.Orbits.Touching(Instant.MinValue, Instant.MaxValue).SelectMany(o => mission.Stores.Trackers.OfOrbit(o.Orbit)).Select(v => $"{v.Orbit} {v.Key.Tracker} {v.Key.View} {v.Key.Line} {v.Value:R} {v.State}")];
        var all = Trackers();
        Assert.Contains(all, t => t.Contains(" ascending-descending-difference ", StringComparison.Ordinal));
        Assert.Contains(all, t => t.Contains(" thermal-slope ", StringComparison.Ordinal));
        foreach (var kind in new[] { WorkKinds.Orbit, WorkKinds.Winds, WorkKinds.Vectors })
        {
            await mission.Stores.Work.MarkAsync(kind, mission.Stores.Orbits.Touching(Instant.MinValue, Instant.MaxValue).Select(o => (long)o.Orbit), Start);
            await mission.DrainAsync();
            Assert.Equal(all, Trackers());
        }
    }

    [Fact]
    public async Task A_late_lamp_exposure_and_a_late_attitude_file_make_only_the_winds_within_their_reach_anew()
    {
        // Of the first lamp exposure of the first orbit all fringe packets come late; temperatures are there.
        var lamp = new ExposureSchedule(DemoScenario.Default.Start).Between(Start.AddSeconds(600), Start.AddSeconds(1200)).First(e => e.Kind == Core.Fringes.ExposureKind.Lamp).Time;
        var (from, to, end) = (lamp.AddSeconds(-10), lamp.AddSeconds(10), Start.AddSeconds(5 * OrbitS));
        using var mission = await TestMission.StartAsync(Generator);
        var around = Generator.PacketsFor(from, to);
        var packets = PacketFramer.Frame(around, mission.Folder.Plan.FramingRules).Packets;
        var longest = packets.Max(p => p.Length);
        byte[] Which(bool fringe) => [.. packets.Where(p => p.Length == longest == fringe).SelectMany(p => around[p.Offset..(p.Offset + p.Length)])];
        await mission.TakeAsync([.. Generator.PacketsFor(Start, from), .. Which(false), .. Generator.PacketsFor(to, end)]);
        await mission.DrainAsync();
        var before = All(mission);
        Assert.DoesNotContain(mission.Stores.Fringes.Read(from, to), f => f.Result.Kind == Core.Fringes.ExposureKind.Lamp);

        await mission.TakeAsync(Which(true));
        await mission.DrainAsync();
        var after = All(mission);
        Assert.Contains(mission.Stores.Fringes.Read(from, to), f => f.Result.Kind == Core.Fringes.ExposureKind.Lamp);
        var own = mission.Engine.Mission!.Orbits.At(lamp)!.Value.Number;
        Assert.Equal(before.Count, after.Count);
        // Smoothing reaches two orbits to either side: there all winds follow the drift, elsewhere nothing moves.
        foreach (var (old, made) in before.Zip(after))
            Assert.Equal(made.Orbit > own + 2, old.InputHash.AsSpan().SequenceEqual(made.InputHash));
        Assert.Contains(after, w => w.Orbit > own + 2);

        // The attitude of five minutes of the same orbit: the motion in its scenes changes, and with the fit a little of their fiducials.
        before = after;
        await mission.TakeAsync(System.Text.Encoding.UTF8.GetBytes(LaterFilesTests.Attitude(lamp, lamp.AddSeconds(300))), "test:a.aem");
        await mission.DrainAsync();
        foreach (var (old, made) in before.Zip(All(mission)))
        {
            var told = made.Profile.Time >= lamp && made.Profile.Time <= lamp.AddSeconds(300);
            Assert.Equal(told, made.AttitudeFile is not null);
            if (told) Assert.NotEqual(old.InputHash, made.InputHash);
            else if (made.Orbit > own + 2) Assert.Equal(old.InputHash, made.InputHash);
        }
        Assert.Contains(All(mission), w => w.AttitudeFile is not null);
    }

    private static IReadOnlyList<StoredLosWind> All(TestMission mission) => mission.Stores.Winds.Read(Instant.MinValue, Instant.MaxValue);
}
