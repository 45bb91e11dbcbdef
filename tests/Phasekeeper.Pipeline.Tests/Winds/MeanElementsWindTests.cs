using Phasekeeper.Core.Time;
using Phasekeeper.Core.Winds;
using Phasekeeper.Demo.Scenario;
using Phasekeeper.Pipeline.Tests.Engine;
using Phasekeeper.Pipeline.Winds;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Tests.Winds;

/// <summary>The demo mission with a two-line set as its only orbit file: the winds say so, their uncertainty holds it, and they may be good.</summary>
public sealed class MeanElementsWindTests
{
    private static readonly ScenarioGenerator Generator = new(DemoScenario.Default, events: []);
    private static readonly Instant Start = DemoScenario.Default.Start;

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public async Task Winds_and_vectors_say_whether_the_orbit_is_from_mean_elements(bool elements)
    {
        using var mission = await TestMission.StartAsync(Generator, elements ? UseElements : null);
        await mission.TakeAsync(Generator.PacketsFor(Start, Start.AddSeconds(elements ? 7000 : 2000)));
        await mission.DrainAsync();
        var rows = mission.Stores.Winds.Read(Instant.MinValue, Instant.MaxValue).SelectMany(w => w.Profile.Rows).Where(r => double.IsFinite(r.WindMs)).ToArray();
        Assert.True(rows.Length > 300, $"{rows.Length} winds");
        Assert.All(rows, r => Assert.Equal(elements, Says(r.Reasons)));
        // Five lags after the first temperature winds may be good.
        Assert.True(!elements || rows.Any(r => r.Quality == WindQuality.Good), "no good wind");
        Assert.All(rows.Where(r => r.KernelDiagonal > 0.9), r => Assert.InRange(r.Budget.EphemerisMs / (elements ? WindScene.MeanElementsSigmaMs : WindScene.OemSigmaMs), 0.5, 1.5));
        var vectors = mission.Stores.WindVectors.Read(Instant.MinValue, Instant.MaxValue).SelectMany(v => v.Vectors).ToArray();
        Assert.NotEmpty(vectors);
        Assert.All(vectors, v => Assert.Equal(elements, Says(v.Reasons)));
    }

    private static bool Says(IReadOnlyList<WindQualityReason> reasons) => reasons.Any(r => r.Word == WindReasonCatalog.MeanElements && r.Quality == WindQuality.Good);

    private static void UseElements(string profile)
    {
        File.Delete(Path.Combine(profile, "orbit.oem"));
        File.WriteAllLines(Path.Combine(profile, "orbit.tle"), TwoLineSet.Of(Generator.Orbit, Start));
        var json = Path.Combine(profile, "profile.json");
        File.WriteAllText(json, File.ReadAllText(json).Replace("\"orbit.oem\"", "\"orbit.tle\"", StringComparison.Ordinal));
    }
}
