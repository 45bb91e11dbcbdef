using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Orbits;
using Phasekeeper.Core.Orbits.Files;
using Phasekeeper.Core.Time;
using Phasekeeper.Demo.Scenario;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Pipeline.Orbits;
using Phasekeeper.Pipeline.Tests.Engine;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Tests.Orbits;

/// <summary>Orbit files known by what they cover, whose states are read when one is asked for.</summary>
public sealed class OutlinedEphemerisTests
{
    private static readonly Instant Noon = Instant.ParseUtc("2031-03-21T12:00:00Z");
    private static readonly ScenarioGenerator Generator = new(DemoScenario.Default);

    // Of tests/reference/sgp4_tle.csv (Vallado and others, AIAA 2006-6753); here it only has a revolution number at its epoch.
    private const string TwoLines =
        """
        1 06251U 62025E   06176.82412014  .00008885  00000-0  12808-3 0  3985
        2 06251  58.0579  54.0425 0030035 139.1568 221.1854 15.56387291  6774
        """;

    [Fact]
    public void States_are_read_once_when_one_is_asked_for_and_given_back_when_others_come()
    {
        var reads = 0;
        var shelf = new EphemerisShelf(2);
        OutlinedEphemeris[] files = [.. Enumerable.Range(0, 3).Select(i => new OutlinedEphemeris(
            new(EphemerisKind.Oem, [new(Noon.AddSeconds(100 * i), Noon.AddSeconds(100 * i + 50))], [], double.NaN), () => { reads++; return new Everywhere(i); }, shelf))];
        Assert.False(files[0].TryGetState(Noon.AddSeconds(60), out _));
        Assert.Equal(0, reads);
        for (var i = 0; i < 3; i++)
            for (var turn = 0; turn < 2; turn++)
            {
                Assert.True(files[i].TryGetState(Noon.AddSeconds(100 * i + 50), out var state));
                Assert.Equal(i, state.PositionTemeM.X);
            }
        Assert.Equal(3, reads);
        Assert.Equal([false, true, true], files.Select(f => f.IsRead));
        Assert.True(files[0].TryGetState(Noon, out _));
        Assert.Equal(4, reads);
    }

    [Fact]
    public void An_outline_that_was_kept_numbers_the_same_orbits()
    {
        var folder = Directory.CreateTempSubdirectory("pk-outline-").FullName;
        try
        {
            Generator.WriteProfile(folder);
            var path = Directory.GetFiles(folder, "*.oem").Single();
            IEphemeris table = OemFile.Read("a.oem", File.ReadAllText(path)).Value, elements = TleFile.Read("a.tle", TwoLines, 0).Value;
            foreach (var ephemeris in new[] { table, elements })
            {
                var outline = EphemerisOutline.Of(ephemeris);
                var text = EphemerisOutlineText.Write(outline, Noon, 7);
                Assert.True(EphemerisOutlineText.TryRead(text, 7, out var read, out var made));
                Assert.Equal(Noon, made);
                Assert.Equal((outline.Kind, outline.PeriodS, outline.FirstEpoch, outline.RevolutionAtFirstEpoch), (read.Kind, read.PeriodS, read.FirstEpoch, read.RevolutionAtFirstEpoch));
                Assert.Equal(outline.Coverage, read.Coverage);
                Assert.NotEmpty(read.Nodes);
                var (whole, kept) = (OrbitNumbering.Empty(3).Extend(ephemeris), OrbitNumbering.Empty(3).Extend([read]));
                Assert.Equal(whole.Nodes, kept.Nodes);
                Assert.Equal(whole.OrbitsIn(Instant.MinValue, Instant.MaxValue), kept.OrbitsIn(Instant.MinValue, Instant.MaxValue));
                // Another satellite of the same file, or another version of the program: read the file again.
                Assert.False(EphemerisOutlineText.TryRead(text, 8, out _, out _));
                Assert.False(EphemerisOutlineText.TryRead(text.Replace("\"Version\":1", "\"Version\":0", StringComparison.Ordinal), 7, out _, out _));
            }
        }
        finally
        {
            Directory.Delete(folder, recursive: true);
        }
    }

    [Fact]
    public async Task A_second_start_reads_no_states_and_knows_the_same_orbits()
    {
        using var mission = await TestMission.StartAsync(Generator);
        var (first, state) = (mission.Engine.Mission!, default(OrbitState));
        var middle = first.Ephemerides.Files[0].Ephemeris.Start.AddSeconds(86_400);
        Assert.True(first.Ephemerides.TryGetState(middle, out state, out _));

        var again = new MissionLoader(mission.Stores, mission.Folder, TimeProvider.System);
        var second = again.Load();
        Assert.All(second.Ephemerides.Files, f => Assert.False(f.Ephemeris.IsRead));
        Assert.Equal(first.Ephemerides.Files.Select(f => (f.FileId, f.CreatedAt)), second.Ephemerides.Files.Select(f => (f.FileId, f.CreatedAt)));
        Assert.Equal(first.Orbits.In(Instant.MinValue, Instant.MaxValue), second.Orbits.In(Instant.MinValue, Instant.MaxValue));
        Assert.True(second.Ephemerides.TryGetState(middle, out var later, out _));
        Assert.Equal(state, later);

        // Kept by no program yet, as in a store of before.
        await mission.Stores.Database.WriteAsync(t => Dapper.SqlMapper.Execute(t.Connection!, "UPDATE auxiliaryFile SET outline = NULL", transaction: t));
        var third = new MissionLoader(mission.Stores, mission.Folder, TimeProvider.System);
        await third.KeepOutlinesAsync(CancellationToken.None);
        Assert.All(mission.Stores.Auxiliary.List(AuxiliaryKind.Orbit), r => Assert.NotNull(mission.Stores.Auxiliary.Outline(r.Id)));
        Assert.Equal(first.Orbits.In(Instant.MinValue, Instant.MaxValue), third.Load().Orbits.In(Instant.MinValue, Instant.MaxValue));
    }

    private sealed record Everywhere(int Number) : IEphemeris
    {
        public EphemerisKind Kind => EphemerisKind.Oem;
        public Instant Start => Instant.MinValue;
        public Instant End => Instant.MaxValue;

        public bool TryGetState(Instant time, out OrbitState state)
        {
            state = new OrbitState(new Vec3(Number, 0, 0), new Vec3(0, 7.5e3, 0));
            return true;
        }
    }
}
