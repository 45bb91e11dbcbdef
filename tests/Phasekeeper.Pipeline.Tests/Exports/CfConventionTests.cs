using System.Text.RegularExpressions;
using Phasekeeper.Pipeline.Exports;
using Phasekeeper.Pipeline.Exports.NetCdf;

namespace Phasekeeper.Pipeline.Tests.Exports;

/// <summary>
/// The rules of the CF conventions 1.11 (cfconventions.org) that a day's file must meet, each under the number of its section. Debian has no CF checker, so the table is ours,
/// written from the conventions' text and appendix on conformance as we know them.
/// </summary>
public sealed partial class CfConventionTests
{
    private const int Byte = 1, Char = 2;
    private static readonly NetCdfFile Day = WindDayFile.Of(SimulatedWindDay.Of(SimulatedWindDay.Date));
    private static readonly Dictionary<string, NetCdfVariable> Variables = Day.Variables.ToDictionary(v => v.Name, StringComparer.Ordinal);

    // Standard names used, with their canonical units as the CF standard name table gives them (another unit of the same quantity is allowed).
    private static readonly Dictionary<string, string[]> StandardNames = new(StringComparer.Ordinal)
    {
        ["time"] = ["s"],
        ["latitude"] = ["degrees_north"],
        ["longitude"] = ["degrees_east"],
        ["height_above_reference_ellipsoid"] = ["m", "km"],
        ["eastward_wind"] = ["m s-1"],
        ["northward_wind"] = ["m s-1"],
        ["quality_flag"] = ["1"],
        ["status_flag"] = ["1"],
    };

    private static readonly (string Section, string Rule, Action Check)[] Rules =
    [
        ("2.2", "data types are those of the classic model", () => Each(v => Assert.InRange(v.Values.Type, 1, 6))),
        ("2.3", "names begin with a letter and hold letters, digits and underscores", () => Each(v => Assert.Matches("^[A-Za-z][A-Za-z0-9_]*$", v.Name))),
        ("2.3", "names are not told apart by case alone", () => Assert.Equal(Day.Variables.Count, Variables.Keys.Distinct(StringComparer.OrdinalIgnoreCase).Count())),
        ("2.4", "no variable has a dimension twice", () => Each(v => Assert.Equal(v.Dimensions.Count, v.Dimensions.Distinct().Count()))),
        ("2.5.1", "_FillValue has the variable's type and is one value", () => With("_FillValue", (v, a) => Assert.Equal((v.Values.Type, 1), (a.Numbers!.Type, a.Numbers.Count)))),
        ("2.5.1", "coordinate variables have no missing data", () => Each(v => Assert.True(!IsCoordinate(v) || Find(v, "_FillValue") is null))),
        ("2.6.1", "Conventions names the version", () => Assert.Equal("CF-1.11", Global("Conventions"))),
        ("2.6.2", "title, source, history, references and comment are texts", () => Assert.All(new[] { "title", "source", "history", "references", "comment" }, n => Assert.NotEqual("", Global(n)))),
        ("3.1", "whatever is a dimensional quantity has units that UDUNITS knows", () => Each(v =>
            Assert.True(v.Values.Type == Char || Find(v, "flag_meanings") is not null || Find(v, "grid_mapping_name") is not null || KnownUnit().IsMatch(Text(v, "units") ?? ""), v.Name))),
        ("3.2", "every variable says what it is", () => Each(v => Assert.NotEqual("", Text(v, "long_name") ?? ""))),
        ("3.3", "standard names stand in the table, with units of the same quantity", () => With("standard_name", (v, a) =>
        {
            var name = a.Text!.Split(' ')[0];
            Assert.Contains(name, StandardNames.Keys);
            if (name is not ("time" or "quality_flag" or "status_flag")) Assert.Contains(Text(v, "units"), StandardNames[name]);
        })),
        ("3.3, appendix C", "modifiers are those of the appendix", () => With("standard_name", (_, a) => Assert.True(a.Text!.Split(' ') is [_] or [_, "standard_error" or "status_flag" or "number_of_observations" or "detection_minimum"]))),
        ("3.4", "ancillary variables exist and share the dimensions", () => With("ancillary_variables", (v, a) => Assert.All(a.Text!.Split(' '), n => Assert.Subset(v.Dimensions.ToHashSet(), Variables[n].Dimensions.ToHashSet())))),
        ("3.5", "flag values and masks have the variable's type", () => Assert.All(new[] { "flag_values", "flag_masks" }, n => With(n, (v, a) => Assert.Equal(v.Values.Type, a.Numbers!.Type)))),
        ("3.5", "there are as many meanings as values or masks", () => With("flag_meanings", (v, a) => Assert.Equal((Find(v, "flag_values") ?? Find(v, "flag_masks"))!.Numbers!.Count, a.Text!.Split(' ').Length))),
        ("3.5", "meanings are words of letters, digits and _ - . + @", () => With("flag_meanings", (_, a) => Assert.All(a.Text!.Split(' '), w => Assert.Matches("^[A-Za-z0-9_.+@-]+$", w)))),
        ("4", "a variable with latitude, longitude or height as standard name says its units", () => With("standard_name", (v, _) => Assert.True(Find(v, "units") is not null || Find(v, "flag_meanings") is not null))),
        ("4.3", "heights say which way is up", () => With("standard_name", (v, a) => Assert.True(!a.Text!.StartsWith("height", StringComparison.Ordinal) || Text(v, "positive") == "up"))),
        ("4.4", "time is seconds since a moment of a calendar that is named", () => With("standard_name", (v, a) =>
        {
            if (a.Text != "time") return;
            Assert.Equal(("seconds since 2031-05-09 00:00:00", "standard"), (Text(v, "units"), Text(v, "calendar")));
        })),
        ("5", "coordinate variables are numbers of one dimension", () => Each(v => Assert.True(!Day.Dimensions.Any(d => d.Name == v.Name) || (IsCoordinate(v) && v.Values.Type != Char), v.Name))),
        ("5", "coordinates exist, and their dimensions are among the variable's (labels: but for the length of their text)", () => With("coordinates", (v, a) =>
            Assert.All(a.Text!.Split(' '), n => Assert.Subset(v.Dimensions.ToHashSet(), Variables[n].Dimensions.Where(d => d != "name_length").ToHashSet())))),
        ("5", "latitude, longitude, height and time of every wind can be found", () => Assert.All(new[] { "los_wind", "eastward_wind", "northward_wind", "apparent_wind" }, n =>
            Assert.Superset(new HashSet<string> { "latitude", "longitude", "height_above_reference_ellipsoid", "time" },
                Text(Variables[n], "coordinates")!.Split(' ').Concat(Variables[n].Dimensions).Where(Variables.ContainsKey).Select(c => Text(Variables[c], "standard_name") ?? "").ToHashSet()))),
        ("5.6, appendix F", "the grid mapping exists and describes its ellipsoid", () => With("grid_mapping", (_, a) =>
        {
            Assert.Equal("latitude_longitude", Text(Variables[a.Text!], "grid_mapping_name"));
            Assert.NotNull(Find(Variables[a.Text!], "semi_major_axis"));
            Assert.NotNull(Find(Variables[a.Text!], "inverse_flattening"));
        })),
        ("6.1", "labels are texts over their dimension and the length of the text", () => Assert.All(new[] { "view", "line" }, d => Assert.Equal([d, "name_length"], Variables[d + "_id"].Dimensions))),
        ("9", "no sampling feature is claimed that the data are not", () => Assert.DoesNotContain(Day.Attributes, a => a.Name == "featureType")),
    ];

    public static TheoryData<string, string> Table
    {
        get
        {
            var table = new TheoryData<string, string>();
            foreach (var (section, rule, _) in Rules) table.Add(section, rule);
            return table;
        }
    }

    [Theory, MemberData(nameof(Table))]
    public void A_day_meets(string section, string rule) => Rules.Single(r => (r.Section, r.Rule) == (section, rule)).Check();

    [Fact]
    public void Quality_is_one_byte_and_every_reason_has_its_bit()
    {
        Assert.Equal(Byte, Variables["los_wind_quality"].Values.Type);
        Assert.Equal(Core.Winds.WindReasonCatalog.All.Count, Find(Variables["los_wind_quality_bad_reasons"], "flag_masks")!.Numbers!.Count);
    }

    private static void Each(Action<NetCdfVariable> check) => Assert.All(Day.Variables, check);

    private static void With(string attribute, Action<NetCdfVariable, NetCdfAttribute> check)
    {
        var found = Day.Variables.Where(v => Find(v, attribute) is not null).ToArray();
        Assert.NotEmpty(found);
        Assert.All(found, v => check(v, Find(v, attribute)!));
    }

    private static bool IsCoordinate(NetCdfVariable v) => v.Dimensions is [var only] && only == v.Name;

    private static NetCdfAttribute? Find(NetCdfVariable v, string name) => v.Attributes.FirstOrDefault(a => a.Name == name);

    private static string? Text(NetCdfVariable v, string name) => Find(v, name)?.Text;

    private static string Global(string name) => Day.Attributes.Single(a => a.Name == name).Text!;

    [GeneratedRegex("^(1|m s-1|m2 s-2|km|s|degree|degrees_north|degrees_east|seconds since .*)$")]
    private static partial Regex KnownUnit();
}
