using System.Globalization;
using Phasekeeper.Core.Orbits;
using Phasekeeper.Core.Winds;
using Xunit.Abstractions;

namespace Phasekeeper.Demo.Tests.Winds;

/// <summary>
/// What people of the trade know about such a mission (source of every number: common practice, domain.md section 1), measured on the quiet day by the product's own code: the demo is a mission of that kind.
/// </summary>
[Collection(QuietDayGroup.Name)]
public class FactsOfTheTradeTests(QuietDay day, ITestOutputHelper output)
{
    // Common practice: once around in about 96 minutes, 15 orbits a day.
    [Fact]
    public void An_orbit_takes_about_96_minutes_and_a_day_has_15()
    {
        var nodes = NodeFinder.AscendingNodes(day.Mission.Ephemeris, day.Mission.From, day.Mission.From.AddSeconds(3 * 86400));
        Assert.InRange(nodes.Count, 44, 46);
        Assert.All(nodes.Zip(nodes.Skip(1), (a, b) => (b - a) / 60), minutes => Assert.InRange(minutes, 95.5, 96.5));
    }

    // Common practice: uncorrected, the temperature swing of an orbit makes wind errors 5 to 10 times larger than the winds.
    [Fact]
    public void Uncorrected_the_temperature_swing_makes_errors_5_to_10_times_larger_than_the_winds()
    {
        LosWindProfile[] Of(string view, string line) => [.. day.Profiles.Where(p => p.View == view && p.Line == line)];
        var vectors = new[] { "green", "red" }.SelectMany(line => WindVectorMatcher.Match(Of("F", line), Of("A", line))).Where(v => v.Quality == WindQuality.Good).ToArray();
        Assert.True(vectors.Length > 500, $"{vectors.Length} vectors");
        var wind = Math.Sqrt(vectors.Average(v => v.EastwardMs * v.EastwardMs + v.NorthwardMs * v.NorthwardMs));
        foreach (var optics in Generators.Quiet.Instrument.Optics)
        {
            var swings = day.Winds.Analyses.Select(orbit =>
            {
                var drift = Enumerable.Range(0, 577).Select(i => Generators.Quiet.State.OpticalDriftRad(optics, orbit.Input.Start.AddSeconds(10 * i)) / optics.Kappa).ToArray();
                return drift.Max() - drift.Min();
            }).ToArray();
            output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{optics.View.Id} {optics.Line.Id}: swing {swings.Min():0} to {swings.Max():0} m/s, winds {wind:0} m/s rms: {swings.Min() / wind:0.0} to {swings.Max() / wind:0.0} times"));
            Assert.All(swings, s => Assert.InRange(s / wind, 5, 10));
        }
    }

    // Common practice: the satellite's own velocity, about 8 km/s, is about a thousand times the precision needed.
    [Fact]
    public void The_satellites_speed_of_about_8_kilometres_a_second_is_about_a_thousand_times_the_precision()
    {
        var speed = day.Mission.StateAt(day.Mission.From).VelocityTemeMs.Length;
        Assert.InRange(speed, 7500, 8500);
        var sigma = WindFigures.Quantile(day.Errors.Where(e => e.Wind.Quality == WindQuality.Good).Select(e => e.Wind.SigmaMs), 0.5);
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{speed:0} m/s, median σ of good winds {sigma:0.0} m/s: {speed / sigma:0} times"));
        Assert.InRange(speed / sigma, 1000 / 2.0, 1000 * 2.0);
    }

    // Common practice: the wavelength must be known to better than one part in 10^8, which is 3 m/s.
    [Fact]
    public void A_wavelength_that_is_off_by_one_part_in_ten_to_the_eighth_moves_the_winds_by_3_metres_a_second()
    {
        const double part = 1e-8;
        // Light whose wave is longer has fewer waves in the path difference.
        var few = new ScenarioWinds(day.Mission, new Corrections
        {
            Seen = fringe =>
            {
                var line = day.Mission.Instrument.Lines.Single(l => l.Id == fringe.Line);
                var longer = line with { WavelengthVacuumNm = line.WavelengthVacuumNm * (1 + part) };
                var turn = 2 * Math.PI * (longer.WavenumberPerM - line.WavenumberPerM) * line.OpdMm * 1e-3;
                return fringe with { PhaseRad = [.. fringe.PhaseRad.Select(p => p + turn)] };
            },
        }).Retrieve();
        var moved = few.Zip(day.Profiles).SelectMany(p => p.First.Rows.Zip(p.Second.Rows)).Where(r => r.Second.Quality == WindQuality.Good).Select(r => r.First.WindMs - r.Second.WindMs).ToArray();
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{moved.Length} good winds moved by {moved.Average():0.00} m/s"));
        Assert.True(moved.Length > 5000, $"{moved.Length} winds");
        Assert.InRange(moved.Average(), 2.7, 3.3);
    }
}
