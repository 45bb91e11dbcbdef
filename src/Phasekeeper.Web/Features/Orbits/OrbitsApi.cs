using Phasekeeper.Core.Time;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api.Lists;

namespace Phasekeeper.Web.Features.Orbits;

/// <summary>An orbit in the list (contract.md section 4).</summary>
/// <param name="Orbit">Number (UTC day number since 1970-01-01 for a mission without an orbit).</param>
/// <param name="Start">Ascending node that starts it.</param>
/// <param name="End">Next ascending node.</param>
/// <param name="BetaDeg">Angle between the orbit's plane and the Sun, deg; null without an orbit.</param>
/// <param name="EclipseFraction">Share of the orbit in shadow, 0…1.</param>
/// <param name="ExpectedExposures">Exposures that the cadence promises.</param>
/// <param name="ReceivedExposures">Exposures that arrived.</param>
/// <param name="Verdict">usable | remarks | held | incomplete.</param>
/// <param name="CoefficientSet">Id of the coefficient set that made it; null without an instrument.</param>
/// <param name="SoftwareVersion">Version of the program that made it; empty for an orbit of before versions were written down.</param>
/// <param name="Held">True when people hold its winds, by the orbit or by the day on which it begins; the verdict beside it is the system's.</param>
public sealed record OrbitItem(
    int Orbit, Instant Start, Instant End, double? BetaDeg, double? EclipseFraction, int ExpectedExposures, int ReceivedExposures, string Verdict,
    long? CoefficientSet, string SoftwareVersion, bool Held)
{
    /// <summary>The item of a stored orbit.</summary>
    public static OrbitItem Of(OrbitRow row, IReadOnlyDictionary<int, HoldKind> held) => new(
        row.Orbit, row.Start, row.End, row.BetaDeg, row.EclipseFraction, row.ExpectedExposures, row.ReceivedExposures, row.Verdict,
        row.CoefficientSet, row.SoftwareVersion, held.ContainsKey(row.Orbit));
}

/// <summary>Orbits.</summary>
public static class OrbitsApi
{
    /// <summary>Adds the calls.</summary>
    public static void MapOrbits(this IEndpointRouteBuilder api) =>
        api.MapGet("/orbits", ([AsParameters] ListQuery query, Stores stores) =>
        {
            var range = query.Read();
            var held = stores.Holds.Held();
            return stores.Orbits.List(range.From, range.To, range.Limit, range.Next).Answer(row => OrbitItem.Of(row, held));
        }).WithTags("Orbits").WithName("getOrbits").WithSummary("Orbits that start in [from, to), with what arrived and the system's verdict, which advises and decides nothing.");
}
