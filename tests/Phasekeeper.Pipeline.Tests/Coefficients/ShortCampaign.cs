using Dapper;
using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Time;
using Phasekeeper.Demo.Scenario;
using Phasekeeper.Pipeline.Coefficients;
using Phasekeeper.Pipeline.Tests.Engine;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Tests.Coefficients;

/// <summary>A few orbits of the demo and people who propose and decide about its coefficients.</summary>
internal static class ShortCampaign
{
    public static readonly ScenarioGenerator Generator = new(DemoScenario.Default, events: []);
    public static readonly Instant Start = DemoScenario.Default.Start.AddSeconds(2 * 86400);
    public static readonly Actor Ada = new("ada", Roles.Analyst, "127.0.0.1");
    public static readonly Actor Lea = new("lea", Roles.CalibrationLead, "127.0.0.1");
    public static readonly Actor Leo = new("leo", Roles.CalibrationLead, "127.0.0.1");

    /// <summary>Packets of some hours of the campaign.</summary>
    public static byte[] PacketsOf(double fromHours, double toHours) => Generator.PacketsFor(Start.AddSeconds(fromHours * 3600), Start.AddSeconds(toHours * 3600), Environment.ProcessorCount);

    /// <summary>The mission's first set with other thermal slopes, and another name.</summary>
    public static CoefficientSet Other(TestMission mission, string name, double factor)
    {
        var ground = mission.Folder.GroundSet!;
        return ground with { Name = name, Optics = [.. ground.Optics.Select(o => o with { Thermal = o.Thermal with { RadPerK = o.Thermal.RadPerK * factor } })] };
    }

    /// <summary>Proposes such a set as Ada.</summary>
    public static Task<long> ProposeAsync(this TestMission mission, string name, double factor) =>
        mission.Desk.ProposeAsync(new() { Set = Other(mission, name, factor), Reason = "a test", Source = CoefficientSource.ByHand }, Ada);

    /// <summary>Approves as Lea from an orbit on, in place of whatever is in force there.</summary>
    public static Task<DecisionOutcome> ApproveAsync(this TestMission mission, long id, int orbit) =>
        mission.Desk.ApproveAsync(id, new() { Reason = "a test", FromOrbit = orbit, InPlaceOf = mission.Desk.Outlook(id, new() { FromOrbit = orbit }).InPlaceOf }, Lea);

    /// <summary>All evidence of a set, newest first.</summary>
    public static IReadOnlyList<CoefficientEvidenceRow> EvidenceOf(this TestMission mission, long setId) =>
        mission.Stores.Database.Read(c => c.Query<CoefficientEvidenceRow>("SELECT * FROM coefficientEvidence WHERE setId = @setId ORDER BY id DESC", new { setId }).AsList());

    /// <summary>The orbit that holds a moment of the campaign.</summary>
    public static int OrbitAt(this TestMission mission, double hours) => mission.Engine.Mission!.Orbits.At(Start.AddSeconds(hours * 3600))!.Value.Number;

    /// <summary>The set that the stored products of each orbit name: of the orbit itself, its fringes and its winds.</summary>
    public static IReadOnlyDictionary<int, long[]> SetsOfProducts(this TestMission mission) => mission.Stores.Orbits.Touching(Instant.MinValue, Instant.MaxValue).ToDictionary(o => o.Orbit, o =>
        mission.Stores.Fringes.OfOrbit(o.Orbit).Select(f => f.CoefficientSet!.Value).Concat(mission.Stores.Winds.OfOrbit(o.Orbit).Select(w => w.CoefficientSet!.Value)).Append(o.CoefficientSet!.Value).Distinct().ToArray());

    /// <summary>Where two dumps of products first differ.</summary>
    public static string FirstDifference(string expected, string found)
    {
        var (a, b) = (expected.Split('\n'), found.Split('\n'));
        for (var i = 0; i < Math.Min(a.Length, b.Length); i++)
            if (a[i] != b[i]) return $"line {i}:\n{a[i][..Math.Min(400, a[i].Length)]}\n{b[i][..Math.Min(400, b[i].Length)]}";
        return $"{a.Length} and {b.Length} lines";
    }
}
