using System.Reflection;
using System.Text.RegularExpressions;
using Phasekeeper.Core.Tests.Thermal;
using Phasekeeper.Core.Trackers;

namespace Phasekeeper.Core.Tests.Trackers;

public sealed class TrackerCatalogTests
{
    [Fact]
    public void Every_tracker_has_id_unit_title_definition_cause_and_advice()
    {
        foreach (var info in TrackerCatalog.All.Select(t => t.Info))
        {
            Assert.Matches(new Regex("^[a-z][a-z0-9]*(-[a-z0-9]+)*$"), info.Id);
            Assert.False(string.IsNullOrWhiteSpace(info.Unit), info.Id);
            Assert.False(string.IsNullOrWhiteSpace(info.Title), info.Id);
            Assert.True(info.Definition.Length > 40, info.Id);
            Assert.True(info.MovedBy.Length > 15, info.Id);
            Assert.True(info.Advice.Length > 15, info.Id);
        }
        Assert.Equal(TrackerCatalog.All.Count, TrackerCatalog.All.Select(t => t.Info.Id).Distinct().Count());
    }

    [Fact]
    public void Every_tracker_class_is_in_the_catalogue()
    {
        var classes = typeof(ITracker).Assembly.GetTypes().Where(t => t.IsClass && !t.IsAbstract && typeof(ITracker).IsAssignableFrom(t)).Select(t => t.Name).Order();
        Assert.Equal(classes, TrackerCatalog.All.Select(t => t.GetType().Name).Order());
    }

    [Fact]
    public void Values_come_per_view_and_line_exactly_where_the_tracker_says_so()
    {
        var values = TrackerCatalog.Compute(new SimulatedOrbit().Make(1));
        Assert.NotEmpty(values);
        foreach (var value in values)
        {
            var info = TrackerCatalog.Find(value.Key.Tracker)!.Info;
            Assert.Equal(info.PerView, value.Key.View is not null);
            Assert.Equal(info.PerLine, value.Key.Line is not null);
            Assert.True(double.IsFinite(value.Value), info.Id);
            Assert.True(value.N > 0, info.Id);
            Assert.False(value.Provisional);
        }
        Assert.Equal(values.Count, values.Select(v => v.Key).Distinct().Count());
    }

    [Fact]
    public void The_same_input_gives_the_same_values_and_longer_look_backs_change_nothing()
    {
        var input = new SimulatedOrbit().Make(1);
        var cut = input with { InterferometerC = input.InterferometerC.Between(input.TemperatureFrom(420 * ThermalLagTracker.SearchFactor * 1.1), input.WindowEnd.AddSeconds(100)) };
        var first = TrackerCatalog.Compute(input);
        Assert.Equal(first, TrackerCatalog.Compute(input));
        Assert.Equal(first.Where(v => v.Key.Tracker != "thermal-lag"), TrackerCatalog.Compute(cut).Where(v => v.Key.Tracker != "thermal-lag"));
    }

    public static TheoryData<string> Losses => ["no lamps", "no bench temperature", "one view", "no fiducials", "no temperature", "no fringes", "housekeeping only"];

    [Theory]
    [MemberData(nameof(Losses))]
    public void Missing_data_never_break_the_trackers(string loss)
    {
        var simulated = new SimulatedOrbit { Lamps = loss != "no lamps", Bench = loss != "no bench temperature", Views = loss != "one view", Fiducials = loss != "no fiducials" };
        var input = simulated.Make(4);
        if (loss == "no temperature") input = input with { InterferometerC = Core.Thermal.TemperatureSeries.Empty };
        if (loss == "no fringes") input = input with { Fringes = [], NeighbourLamps = [], NeighbourShifts = [] };
        if (loss == "housekeeping only") input = new OrbitInput { Orbit = 20000, Start = input.Start, End = input.End, Complete = true, NeighboursComplete = true };
        input = input with { Channels = [new ChannelOrbitStatistics { Channel = "IFO_T1", Count = 10, Min = 1, Mean = 2, Max = 3 }] };

        var ids = TrackerCatalog.Compute(input).Select(v => v.Key.Tracker).ToHashSet();

        Assert.Contains("channel-mean", ids);
        Assert.Equal(loss is not ("no lamps" or "no temperature" or "no fringes" or "housekeeping only"), ids.Contains("thermal-slope"));
        Assert.Equal(loss is not ("no lamps" or "no temperature" or "no fringes" or "housekeeping only" or "one view"), ids.Contains("view-difference"));
        Assert.Equal(loss is not ("no bench temperature" or "no fringes" or "housekeeping only" or "no fiducials"), ids.Contains("image-shift-slope"));
        Assert.Equal(loss is not ("no fringes" or "housekeeping only"), ids.Contains("scene-visibility"));
        if (loss == "housekeeping only") Assert.All(ids, id => Assert.StartsWith("channel-", id, StringComparison.Ordinal));
    }

    [Fact]
    public void Every_tracker_id_has_a_value_when_all_data_are_there()
    {
        var input = FullOrbit.Make();
        var ids = TrackerCatalog.Compute(input).Select(v => v.Key.Tracker).ToHashSet();
        Assert.Equal(TrackerCatalog.All.Select(t => t.Info.Id).Order(), ids.Order());
    }
}
