using Phasekeeper.Core.Orbits;
using Phasekeeper.Core.Orbits.Files;
using Phasekeeper.Core.Time;
using Phasekeeper.Tests;

namespace Phasekeeper.Core.Tests.Orbits;

public class OrbitNumberingTests
{
    private const double OneMillisecond = 1e-3;
    private static readonly Instant Epoch = Instant.FromUtc(2031, 3, 21, 21);

    private static CircularOrbit Orbit(double fromSeconds, double toSeconds, double shiftSeconds = 0) =>
        new(Epoch.AddSeconds(shiftSeconds), 6_953_137, 0.5, 1, new TimeStretch(Epoch.AddSeconds(fromSeconds), Epoch.AddSeconds(toSeconds)));

    private static readonly double Period = Orbit(0, 1).PeriodSeconds;

    [Fact]
    public void Nodes_lie_on_the_equator()
    {
        var orbit = Orbit(-1000, 5.5 * Period);
        var nodes = NodeFinder.AscendingNodes(orbit, orbit.Start, orbit.End);
        Assert.Equal(6, nodes.Count);
        for (var i = 0; i < nodes.Count; i++) Assert.Equal(i * Period, nodes[i] - Epoch, OneMillisecond / 1000);
    }

    [Fact]
    public void The_first_node_of_the_first_orbit_file_starts_orbit_one_and_the_stretch_before_is_orbit_zero()
    {
        var numbering = OrbitNumbering.Empty(0).Extend(Orbit(-1000, 2.5 * Period));
        Assert.Equal([1, 2, 3], numbering.Nodes.Select(n => n.Orbit));
        Assert.True(numbering.TryOrbitOf(Epoch.AddSeconds(-500), out var before) && before == 0);
        Assert.True(numbering.TryOrbitOf(Epoch.AddSeconds(1), out var first) && first == 1);
        Assert.True(numbering.TryOrbitOf(Epoch.AddSeconds(2.4 * Period), out var last) && last == 3);
        Assert.False(numbering.TryOrbitOf(Epoch.AddSeconds(-1001), out _));
        Assert.False(numbering.TryOrbitOf(Epoch.AddSeconds(2.6 * Period), out _));
    }

    [Theory]
    [InlineData(-3.2, 2.5)]
    [InlineData(0.7, 4.5)]
    [InlineData(-3.2, 0.25)]
    public void A_first_file_without_a_node_is_orbit_zero_and_stays_it(double from, double to)
    {
        var first = OrbitNumbering.Empty(0).Extend(Orbit(0.2 * Period, 0.6 * Period));
        Assert.True(first.TryOrbitOf(Epoch.AddSeconds(0.4 * Period), out var alone) && alone == 0);
        var numbering = first.Extend(Orbit(from * Period, to * Period));
        Assert.True(numbering.TryOrbitOf(Epoch.AddSeconds(0.4 * Period), out var orbit) && orbit == 0);
        Assert.All(numbering.Nodes, n => Assert.Equal((int)Math.Round((n.Time - Epoch) / Period), n.Orbit));
    }

    [Fact]
    public void An_orbit_holds_its_first_node_but_not_the_next()
    {
        var numbering = OrbitNumbering.Empty(7).Extend(Orbit(-1000, 2.5 * Period));
        var second = numbering.Nodes[1];
        Assert.True(numbering.TryOrbitOf(second.Time, out var at) && at == 9);
        Assert.True(numbering.TryOrbitOf(new Instant(second.Time.TaiNanoseconds - 1), out var earlier) && earlier == 8);
        Assert.True(numbering.TryBoundsOf(8, out var bounds) && bounds.Complete);
        Assert.Equal(second.Time, bounds.End);
        Assert.True(numbering.TryBoundsOf(7, out var zero) && !zero.StartsAtNode && zero.Start == Epoch.AddSeconds(-1000));
        Assert.True(numbering.TryBoundsOf(10, out var open) && !open.EndsAtNode && open.End == Epoch.AddSeconds(2.5 * Period));
        Assert.False(numbering.TryBoundsOf(11, out _));
        Assert.Equal([7, 8, 9, 10], numbering.OrbitsIn(Instant.MinValue, Instant.MaxValue).Select(o => o.Orbit));
        Assert.Equal([8], numbering.OrbitsIn(numbering.Nodes[0].Time, second.Time).Select(o => o.Orbit));
    }

    [Fact]
    public void Numbers_stay_when_earlier_and_later_files_arrive()
    {
        var first = OrbitNumbering.Empty(0).Extend(Orbit(-1000, 2.5 * Period));
        var kept = OrbitNumbering.FromNodes(first.Nodes, 0);
        var extended = kept.Extend(Orbit(-3.2 * Period, -0.5 * Period)).Extend(Orbit(2 * Period, 6.5 * Period)).Extend(Orbit(-1000, 2.5 * Period));
        Assert.Equal(Enumerable.Range(-2, 10), extended.Nodes.Select(n => n.Orbit));
        Assert.All(first.Nodes, n => Assert.Contains(n, extended.Nodes));
    }

    [Fact]
    public void A_gap_of_many_orbits_is_bridged_by_the_period()
    {
        var numbering = OrbitNumbering.Empty(0).Extend(Orbit(-1000, 3.5 * Period)).Extend(Orbit(200.5 * Period, 203.5 * Period));
        Assert.Equal([1, 2, 3, 4, 202, 203, 204], numbering.Nodes.Select(n => n.Orbit));
        Assert.False(numbering.TryOrbitOf(Epoch.AddSeconds(100 * Period), out _));
        Assert.True(numbering.TryOrbitOf(Epoch.AddSeconds(200.7 * Period), out var before) && before == 201);
    }

    [Fact]
    public void A_better_file_moves_the_nodes_but_not_the_numbers_and_only_when_told()
    {
        var predicted = OrbitNumbering.Empty(0).Extend(Orbit(-1000, 2.5 * Period));
        var definitive = Orbit(-1000, 2.5 * Period, shiftSeconds: 4);
        Assert.Equal(predicted.Nodes, predicted.Extend(definitive).Nodes);
        var refined = predicted.Extend(definitive, refineTimes: true);
        Assert.Equal(predicted.Nodes.Select(n => n.Orbit), refined.Nodes.Select(n => n.Orbit));
        Assert.Equal(4, refined.Nodes[1].Time - predicted.Nodes[1].Time, OneMillisecond);
    }

    [Fact]
    public void Before_any_node_all_is_orbit_zero()
    {
        var numbering = OrbitNumbering.Empty(3).Extend(Orbit(100, 2000));
        Assert.Empty(numbering.Nodes);
        Assert.True(numbering.TryOrbitOf(Epoch.AddSeconds(500), out var orbit) && orbit == 3);
        Assert.True(numbering.TryBoundsOf(3, out var bounds) && !bounds.StartsAtNode && !bounds.EndsAtNode);
    }

    // 28057: epoch 2006-177.78615833, revolution 14055 (columns 64–68).
    [Fact]
    public void With_mean_elements_the_orbit_at_epoch_has_the_revolution_number()
    {
        var row = ReferenceFiles.ReadCsv("sgp4_tle.csv").Single(r => r["catalog"] == "28057");
        var elements = TleFile.Read("a.tle", row["tle_line1"] + "\n" + row["tle_line2"]).Value;
        var numbering = OrbitNumbering.Empty(1000).Extend(elements);
        Assert.True(numbering.TryOrbitOf(elements.Sets.Single().Epoch, out var orbit));
        Assert.Equal(14055 + 1000, orbit);
        // 14.35 orbits a day over ±3 days, numbered without a gap.
        Assert.Equal(86, numbering.Nodes.Count, 1.0);
        Assert.All(numbering.Nodes.Zip(numbering.Nodes.Skip(1)), p => Assert.Equal(1, p.Second.Orbit - p.First.Orbit));
    }

    [Fact]
    public void Nodes_that_do_not_rise_together_with_their_numbers_are_refused()
    {
        var error = Assert.Throws<ArgumentException>(() => OrbitNumbering.FromNodes([new(Epoch, 5), new(Epoch.AddSeconds(1), 5)], 0));
        Assert.Contains("expected times and numbers that rise together", error.Message);
    }
}
