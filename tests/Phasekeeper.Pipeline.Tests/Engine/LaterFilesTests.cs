using System.Globalization;
using System.Text;
using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Limb;
using Phasekeeper.Core.Time;
using Phasekeeper.Demo.Scenario;
using Phasekeeper.Pipeline.Tests.Winds;
using Phasekeeper.Storage;
using Phasekeeper.Tests;

namespace Phasekeeper.Pipeline.Tests.Engine;

/// <summary>Orbit and attitude files that arrive after the packets, and packets that no file covers.</summary>
public class LaterFilesTests
{
    private const string Rule = "coverage-missing";
    private static readonly ScenarioGenerator Generator = new(DemoScenario.Default);
    private static readonly Instant Start = DemoScenario.Default.Start.AddSeconds(2 * 86400);

    [Fact]
    public async Task Data_outside_every_orbit_file_raise_a_flag_that_the_missing_file_withdraws()
    {
        string? whole = null;
        using var mission = await TestMission.StartAsync(Generator, p => whole = Cut(p, t => t < Start.AddSeconds(300)));
        await mission.TakeAsync(Generator.PacketsFor(Start, Start.AddSeconds(1500)));
        await mission.DrainAsync();
        Assert.All(mission.Stores.Orbits.Newest(1), o => Assert.Null(o.EclipseFraction));
        Assert.Contains(Flags(mission), f => f.State != "withdrawn" && f.Message.Contains("No orbit file covers", StringComparison.Ordinal));

        await mission.TakeAsync(Encoding.UTF8.GetBytes(whole!), "test:whole.oem");
        await mission.DrainAsync();
        Assert.DoesNotContain(Flags(mission), f => f.State != "withdrawn");
        Assert.All(Scenes(mission), s => Assert.NotNull(s.EphemerisFile));
        Assert.All(mission.Stores.Orbits.Newest(1), o => Assert.InRange(o.EclipseFraction!.Value, 0, 0.45));
    }

    [Fact]
    public async Task An_earlier_orbit_file_after_one_without_a_node_moves_the_orbits_and_nothing_stops()
    {
        string? whole = null;
        // The first node of the demo's orbit file lies within an orbit of its start; ten minutes hold none or one.
        using var mission = await TestMission.StartAsync(Generator, p => whole = Cut(p, t => t >= Start && t <= Start.AddSeconds(1200)));
        await mission.TakeAsync(Generator.PacketsFor(Start, Start.AddSeconds(900)));
        await mission.DrainAsync();
        await mission.TakeAsync(Encoding.UTF8.GetBytes(whole!), "test:whole.oem");
        await mission.DrainAsync();

        var orbits = mission.Stores.Orbits.Touching(Instant.MinValue, Instant.MaxValue);
        Assert.NotEmpty(orbits);
        Assert.All(orbits, o => Assert.Equal(mission.Engine.Mission!.Orbits.Of(o.Orbit)!.Value.Start, o.Start));
        Assert.All(orbits.Zip(orbits.Skip(1)), pair => Assert.True(pair.First.End <= pair.Second.Start));
        Assert.All(Scenes(mission), s => Assert.Contains(orbits, o => o.Orbit == s.Orbit));
    }

    [Fact]
    public async Task An_orbit_file_with_mistakes_is_named_to_its_sender_and_kept()
    {
        using var mission = await TestMission.StartAsync(Generator);
        var before = mission.Stores.Auxiliary.List().Count;
        var file = "CCSDS_OEM_VERS = 2.0\nCREATION_DATE = 2031-03-01T00:00:00\nMETA_START\n"u8.ToArray();
        var answer = await mission.Intake.IngestAsync(file, "api:broken.oem", Actor.System);
        Assert.Equal((0, 0, 1), (answer.Stored, answer.Duplicates, answer.Quarantined));
        await mission.DrainAsync();
        var waiting = Assert.Single(mission.Stores.Quarantine.List(Instant.MinValue, Instant.MaxValue, 10).Items, q => q.Kind == QuarantineStore.RefusedFile);
        Assert.Contains("broken.oem", waiting.Reason, StringComparison.Ordinal);
        Assert.Equal(file, mission.Stores.Quarantine.Bytes(waiting.Id));
        Assert.Equal("refused", mission.Stores.Auxiliary.List()[before].State);
        Assert.Equal((0, 1, 0), await mission.Intake.IngestAsync(file, "api:broken.oem", Actor.System) is var again ? (again.Stored, again.Duplicates, again.Quarantined) : default);
        await Assert.ThrowsAsync<InvalidOperationException>(() => mission.Intake.RetryAsync(waiting.Id, Actor.System));
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public async Task An_attitude_file_about_a_few_minutes_leaves_a_nominal_mission_nominal_elsewhere(bool first)
    {
        using var mission = await TestMission.StartAsync(Generator);
        var file = Encoding.UTF8.GetBytes(Attitude(Start.AddSeconds(300), Start.AddSeconds(420)));
        var packets = Generator.PacketsFor(Start, Start.AddSeconds(900));
        if (first) await mission.TakeAsync(file, "test:a.aem");
        await mission.TakeAsync(packets);
        await mission.DrainAsync();
        if (!first) await mission.TakeAsync(file, "test:a.aem");
        await mission.DrainAsync();

        using var nominal = await TestMission.StartAsync(Generator);
        await nominal.TakeAsync(packets);
        await nominal.DrainAsync();
        var expected = Scenes(nominal).ToDictionary(s => (s.Result.Exposure, s.Result.View, s.Result.Line), s => s.Result.VelocityRemovedMs[0]);
        Assert.All(Scenes(mission), s =>
        {
            var within = s.Result.Time >= Start.AddSeconds(300) && s.Result.Time <= Start.AddSeconds(420);
            Assert.Equal(!within, expected[(s.Result.Exposure, s.Result.View, s.Result.Line)] == s.Result.VelocityRemovedMs[0]);
        });
        Assert.Contains(Scenes(mission), s => s.Result.Time >= Start.AddSeconds(300) && s.Result.Time <= Start.AddSeconds(420));
    }

    [Theory]
    [InlineData("oem")]
    [InlineData("tle")]
    public async Task Orbit_and_attitude_files_before_or_after_the_packets_give_the_same_products(string kind)
    {
        // One orbit and a half. The profile's own orbit file ends before it, so that without the sent one nothing would be known; the body is yawed for some minutes.
        const double seconds = 9000, yawDeg = 0.2;
        var (from, to) = (Start.AddSeconds(2400), Start.AddSeconds(3600));
        var packets = Generator.PacketsFor(Start, Start.AddSeconds(seconds));
        var attitude = Encoding.UTF8.GetBytes(AttitudeFileText.Write(from, to, 10, t => AttitudeFileText.Turned(Generator.Orbit.StateAt(t), yawDeg: yawDeg)));
        async Task<TestMission> RunAsync(bool first)
        {
            string? whole = null;
            var mission = await TestMission.StartAsync(Generator, p => whole = Cut(p, t => t < Start.AddSeconds(-3600)));
            var orbit = kind == "oem" ? whole! : string.Join('\n', TwoLineSet.Of(Generator.Orbit, Start)) + "\n";
            async Task FilesAsync()
            {
                await mission.TakeAsync(Encoding.UTF8.GetBytes(orbit), "test:whole." + kind);
                await mission.TakeAsync(attitude, "test:yaw.aem");
                await mission.DrainAsync();
            }
            if (first) await FilesAsync();
            await mission.TakeAsync(packets);
            await mission.DrainAsync();
            if (first) return mission;
            Assert.DoesNotContain(mission.Stores.Winds.Read(Instant.MinValue, Instant.MaxValue).SelectMany(w => w.Profile.Rows), r => double.IsFinite(r.WindMs));
            await FilesAsync();
            return mission;
        }
        using var before = await RunAsync(first: true);
        using var after = await RunAsync(first: false);
        var (expected, found) = (before.Products(), after.Products());
        Assert.True(expected == found, OrderOfArrivalTests.FirstDifference(expected, found));

        // Both kinds of file had their say, to the end of the chain.
        Assert.All(Scenes(after), s => Assert.NotNull(s.EphemerisFile));
        Assert.Contains(after.Stores.Winds.Read(Instant.MinValue, Instant.MaxValue).SelectMany(w => w.Profile.Rows), r => double.IsFinite(r.WindMs));
        Assert.NotEmpty(after.Stores.WindVectors.Read(Instant.MinValue, Instant.MaxValue));
        Assert.NotNull(after.Stores.WindBins.Newest());
        var moved = Scenes(after).GroupBy(s => s.Result.Time >= from && s.Result.Time <= to)
            .ToDictionary(g => g.Key, g => g.Max(s => Math.Abs(s.Result.VelocityRemovedMs[0] - Nominal(after, s))));
        // 0.2° of yaw is some 18 m/s.
        Assert.InRange(moved[true], 14, 22);
        Assert.InRange(moved[false], 0, kind == "oem" ? 0.1 : 8);
    }

    // The motion that anyone computes who trusts a nominal attitude, by the orbit's truth.
    private static double Nominal(TestMission mission, StoredFringe fringe)
    {
        var instrument = mission.Folder.Profile.Instrument!;
        return new LookGeometry(fringe.Result.Time, Generator.Orbit.StateAt(fringe.Result.Time))
            .Look(instrument.Views.Single(v => v.Id == fringe.Result.View).AzimuthDeg, instrument.RowDepressionDeg[0]).MotionMs;
    }

    private static IReadOnlyList<FlagRow> Flags(TestMission mission) => mission.Stores.Flags.List(Instant.MinValue, Instant.MaxValue, 1000, rule: Rule).Items;

    private static StoredFringe[] Scenes(TestMission mission) =>
        [.. mission.Stores.Fringes.Read(Instant.MinValue, Instant.MaxValue).Where(f => f.Result.Kind == ExposureKind.Scene)];

    // Leaves only some states in the profile's orbit file; gives the whole text.
    private static string Cut(string profile, Func<Instant, bool> keep)
    {
        var path = Directory.GetFiles(profile, "*.oem").Single();
        var whole = File.ReadAllText(path);
        var lines = whole.Split('\n');
        var states = lines.Where(l => l.StartsWith("20", StringComparison.Ordinal) && keep(TimeOf(l))).ToArray();
        var text = lines.TakeWhile(l => l != "META_STOP").Append("META_STOP").Concat(states)
            .Select(l => l.StartsWith("START_TIME", StringComparison.Ordinal) ? $"START_TIME = {states[0].Split(' ')[0]}" : l.StartsWith("STOP_TIME", StringComparison.Ordinal) ? $"STOP_TIME = {states[^1].Split(' ')[0]}" : l);
        File.WriteAllText(path, string.Join('\n', text) + "\n");
        return whole;
    }

    private static Instant TimeOf(string line) =>
        Instant.TryParseUtc(line.Split(' ')[0] + "Z", out var time) ? time : throw new FormatException($"Found the state line '{line}'; expected a time first.");

    // Any attitude that is not the nominal one: the body at rest in TEME.
    internal static string Attitude(Instant from, Instant to)
    {
        var text = new StringBuilder("CCSDS_AEM_VERS = 1.0\nCREATION_DATE = 2030-01-01T00:00:00\nORIGINATOR = TEST\nMETA_START\nOBJECT_NAME = KITTIWAKE\nOBJECT_ID = 2030-071A\n");
        text.Append(CultureInfo.InvariantCulture, $"REF_FRAME_A = TEME\nREF_FRAME_B = SC_BODY_1\nATTITUDE_DIR = A2B\nTIME_SYSTEM = UTC\nSTART_TIME = {Stamp(from)}\nSTOP_TIME = {Stamp(to)}\n");
        text.Append("ATTITUDE_TYPE = QUATERNION\nQUATERNION_TYPE = LAST\nMETA_STOP\nDATA_START\n");
        for (var t = from; t <= to; t = t.AddSeconds(60)) text.Append(CultureInfo.InvariantCulture, $"{Stamp(t)} 0.0 0.0 0.0 1.0\n");
        return text.Append("DATA_STOP\n").ToString();
    }

    private static string Stamp(Instant time) => time.ToString().TrimEnd('Z');
}
