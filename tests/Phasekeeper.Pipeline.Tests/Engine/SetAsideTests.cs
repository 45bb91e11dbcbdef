using Dapper;
using Microsoft.Extensions.Logging.Abstractions;
using Phasekeeper.Core.Coefficients;
using Phasekeeper.Pipeline.Coefficients;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Pipeline.Tests.Coefficients;
using Phasekeeper.Storage;
using static Phasekeeper.Pipeline.Tests.Coefficients.ShortCampaign;

namespace Phasekeeper.Pipeline.Tests.Engine;

/// <summary>A unit of work that fails is set aside and told; the others go on.</summary>
public sealed class SetAsideTests
{
    /// <summary>The ends of what the reader takes, for every number of a set.</summary>
    public static TheoryData<string, bool> Ends() => new() { { "none", true }, { "lowest", false }, { "highest", false } };

    [Theory]
    [MemberData(nameof(Ends))]
    public async Task Every_set_that_the_reader_takes_is_worked_with(string end, bool withoutFailure)
    {
        using var mission = await TestMission.StartAsync(Generator);
        await mission.TakeAsync(PacketsOf(0, 1.8));
        await mission.DrainAsync(mayFail: true);
        var id = await mission.Desk.ProposeAsync(new() { Set = At(mission.Folder.GroundSet!, end), Reason = "a test", Source = CoefficientSource.ByHand }, Ada);
        await mission.ApproveAsync(id, mission.OrbitAt(0));
        await mission.DrainAsync(mayFail: true);
        Assert.True(mission.Stores.Work.IsEmpty);
        if (withoutFailure) Assert.Empty(mission.Stores.Work.Aside());
        // And back, from whatever state that left.
        await mission.Desk.ReinstateAsync(1, new() { Reason = "back", FromOrbit = mission.OrbitAt(0), InPlaceOf = id }, Lea);
        await mission.DrainAsync(mayFail: true);
        Assert.Empty(mission.Stores.Work.Aside());
        Assert.Empty(mission.Stores.Reprocessing.Orbits());
        Assert.All(mission.SetsOfProducts().Values, sets => Assert.Equal([1L], sets));
    }

    [Fact]
    public async Task One_orbit_that_fails_leaves_the_others_processed_and_is_tried_again_after_a_restart()
    {
        using var mission = await TestMission.StartAsync(Generator);
        await mission.TakeAsync(PacketsOf(0, 3.4));
        await mission.DrainAsync(mayFail: true);
        var orbit = mission.OrbitAt(1.7);
        // A blob that nothing can unpack makes the orbit's stage fail each time.
        var kept = await mission.BreakFringeAsync(orbit);
        await mission.MarkOrbitsAsync();
        await mission.DrainAsync(mayFail: true);
        var aside = mission.Stores.Work.Aside();
        Assert.Contains(aside, w => w.Item.Kind == WorkKinds.Orbit && w.Item.Key == orbit);
        Assert.All(aside, w => Assert.Contains("StorageException", w.Error, StringComparison.Ordinal));
        Assert.True(mission.Stores.Work.IsEmpty);
        await mission.RestartAsync();
        Assert.Empty(mission.Stores.Work.Aside());
        Assert.False(mission.Stores.Work.IsEmpty);
        await mission.DrainAsync(mayFail: true);
        Assert.Contains(mission.Stores.Work.Aside(), w => w.Item.Key == orbit);
        await mission.MendFringeAsync(kept);
        Assert.True(mission.Stores.Work.TryAgain() > 0);
        await mission.DrainAsync(mayFail: true);
        Assert.Empty(mission.Stores.Work.Aside());
        Assert.True(mission.Stores.Work.IsEmpty);
    }

    [Fact]
    public async Task What_would_fail_whatever_the_unit_is_not_set_aside()
    {
        using var mission = await TestMission.StartAsync(Generator);
        var units = new SetAside(mission.Stores, TimeProvider.System, NullLogger.Instance);
        var item = new WorkItem { Kind = WorkKinds.Orbit, Key = 1, Generation = 1, Priority = 0, Marked = Start };
        await Assert.ThrowsAsync<IOException>(() => units.RunAsync(item, () => throw new IOException("disk full")));
        await Assert.ThrowsAsync<OperationCanceledException>(() => units.RunAsync(item, () => throw new OperationCanceledException()));
        Assert.False(mission.Stores.Work.IsAside(item));
        Assert.False(await units.RunAsync(item, () => throw new InvalidOperationException("of the unit")));
        Assert.True(mission.Stores.Work.IsAside(item));
    }

    private static CoefficientSet At(CoefficientSet ground, string end) => ground with
    {
        Name = $"at the {end} end",
        Optics = [.. ground.Optics.Select(o => end switch
        {
            "none" => o with { Thermal = o.Thermal with { LagS = 0 } },
            "lowest" => o with { Visibility = 1e-3, LampVisibility = 1e-3, EnvelopeM1 = -1, EnvelopeM2 = -1, LampElectrons = 0, LampRatio = 1e-3, LampPhaseRad = -1e4, ZeroWindRad = [.. o.ZeroWindRad.Select(_ => -1e4)], Thermal = new(-1e4, 0, -200) },
            _ => o with { Visibility = 1, LampVisibility = 1, EnvelopeM1 = 1, EnvelopeM2 = 1, LampElectrons = 1e9, LampRatio = 1e3, LampPhaseRad = 1e4, ZeroWindRad = [.. o.ZeroWindRad.Select(_ => 1e4)], Thermal = new(1e4, 1e6, 200) },
        })],
        ImageShift = end == "none" ? ground.ImageShift : [.. ground.ImageShift.Select(s => end == "lowest" ? s with { SamplesPerK = -1e3, ReferenceC = -200, OffsetSamples = -1e4 } : s with { SamplesPerK = 1e3, ReferenceC = 200, OffsetSamples = 1e4 })],
        Dark = end switch { "none" => ground.Dark, "lowest" => new(0, 0, -200, 0), _ => new(65535, 1e6, 200, 1000) },
    };
}

/// <summary>What breaks one orbit of a <see cref="TestMission"/>.</summary>
internal static class BrokenOrbits
{
    /// <summary>Makes one fringe of an orbit unreadable; gives what it was.</summary>
    public static Task<(long Row, byte[] Vectors)> BreakFringeAsync(this TestMission mission, int orbit) => mission.Stores.Database.WriteAsync(t =>
    {
        var found = t.Connection!.QueryFirst<(long, byte[])>("SELECT time, vectors FROM fringe WHERE orbit = @orbit ORDER BY time", new { orbit }, t);
        t.Connection!.Execute("UPDATE fringe SET vectors = x'00' WHERE orbit = @orbit AND time = @time", new { orbit, time = found.Item1 }, t);
        return found;
    });

    /// <summary>Puts it back.</summary>
    public static Task MendFringeAsync(this TestMission mission, (long Row, byte[] Vectors) kept) =>
        mission.Stores.Database.WriteAsync(t => t.Connection!.Execute("UPDATE fringe SET vectors = @Vectors WHERE time = @Row AND vectors = x'00'", new { kept.Vectors, kept.Row }, t));

    /// <summary>Marks all orbits.</summary>
    public static Task MarkOrbitsAsync(this TestMission mission) => mission.Stores.Work.MarkAsync(WorkKinds.Orbit, mission.Stores.Orbits.Newest(100).Select(o => (long)o.Orbit), ShortCampaign.Start);
}
