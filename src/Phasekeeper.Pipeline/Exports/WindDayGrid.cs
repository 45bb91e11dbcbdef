using Phasekeeper.Core.Winds;
using Phasekeeper.Pipeline.Exports.NetCdf;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Exports;

/// <summary>Variables over the cells of a grid, filled where nothing was measured.</summary>
internal sealed class WindDayGrid(IReadOnlyList<string> dimensions, int cells, string? coordinates)
{
    /// <summary>What stands where there is no number (the format's own default for floats).</summary>
    public const float Fill = 9.969209968386869e36f;
    private const double DoubleFill = 9.969209968386869e36;
    private const sbyte ByteFill = -127;
    private const int IntFill = -2147483647;

    /// <summary>A float variable; NaN becomes the fill value.</summary>
    public static NetCdfVariable Float(string name, IReadOnlyList<string> dimensions, double[] values, string? coordinates, params (string Name, string? Text)[] attributes) =>
        new(name, dimensions, NetCdfValues.Of([.. values.Select(v => double.IsFinite(v) ? (float)v : Fill)]), With(attributes, coordinates, NetCdfValues.Of(Fill)));

    /// <summary>A double variable; NaN becomes the fill value.</summary>
    public static NetCdfVariable Double(string name, IReadOnlyList<string> dimensions, double[] values, string? coordinates, params NetCdfAttribute[] attributes) =>
        new(name, dimensions, NetCdfValues.Of([.. values.Select(v => double.IsFinite(v) ? v : DoubleFill)]),
            [.. attributes, .. coordinates is null ? [] : WindDayFile.Attributes(("coordinates", coordinates)), new("_FillValue", NetCdfValues.Of(DoubleFill))]);

    /// <summary>An int variable; null becomes the fill value.</summary>
    public static NetCdfVariable Int(string name, IReadOnlyList<string> dimensions, int?[] values, string? coordinates, params NetCdfAttribute[] attributes) =>
        new(name, dimensions, NetCdfValues.Of([.. values.Select(v => v ?? IntFill)]),
            [.. attributes, .. coordinates is null ? [] : WindDayFile.Attributes(("coordinates", coordinates)), new("_FillValue", NetCdfValues.Of(IntFill))]);

    /// <summary>A variable of the grid.</summary>
    public NetCdfVariable Variable(string name, double[] values, params (string Name, string? Text)[] attributes) => Float(name, dimensions, values, coordinates, attributes);

    /// <summary>Quality and the reasons behind it: one flag variable of three values, and three masks.</summary>
    /// <param name="prefix">Beginning of the variables' names.</param>
    /// <param name="of">What the quality is of, for people.</param>
    /// <param name="at">Quality and reasons of each cell; null where nothing was measured.</param>
    public IEnumerable<NetCdfVariable> Quality(string prefix, string of, Func<int, (WindQuality Quality, IReadOnlyList<WindQualityReason> Reasons)?> at)
    {
        var quality = new sbyte[cells];
        int[] doubtful = new int[cells], bad = new int[cells], notes = new int[cells];
        for (var i = 0; i < cells; i++)
        {
            if (at(i) is not { } found)
            {
                (quality[i], doubtful[i], bad[i], notes[i]) = (ByteFill, IntFill, IntFill, IntFill);
                continue;
            }
            quality[i] = (sbyte)found.Quality;
            doubtful[i] = checked((int)WindReasonCatalog.Mask(found.Reasons, WindQuality.Doubtful));
            bad[i] = checked((int)WindReasonCatalog.Mask(found.Reasons, WindQuality.Bad));
            notes[i] = checked((int)WindReasonCatalog.Mask(found.Reasons, WindQuality.Good));
        }
        yield return new(prefix, dimensions, NetCdfValues.Of(quality),
        [
            .. WindDayFile.Attributes(("long_name", $"quality of {of}"), ("standard_name", "quality_flag"), ("flag_meanings", "good doubtful bad"), ("coordinates", coordinates)),
            new("flag_values", NetCdfValues.Of((sbyte)WindQuality.Good, (sbyte)WindQuality.Doubtful, (sbyte)WindQuality.Bad)), new("_FillValue", NetCdfValues.Of(ByteFill)),
        ]);
        yield return Mask(prefix + "_doubtful_reasons", $"why {of} is at best doubtful", doubtful);
        yield return Mask(prefix + "_bad_reasons", $"why {of} is bad", bad);
        yield return Mask(prefix + "_notes", $"what else to know of {of}, which leaves it good", notes);
    }

    /// <summary>Whether people hold the winds of each cell; filled where nothing was measured.</summary>
    public NetCdfVariable Held(string name, string of, Func<int, HoldKind?> at) => new(name, dimensions, NetCdfValues.Of([.. Enumerable.Range(0, cells).Select(i => at(i) is { } kind ? (sbyte)kind : ByteFill)]),
        [.. WindDayFile.HeldAttributes(of, coordinates), new("_FillValue", NetCdfValues.Of(ByteFill))]);

    private NetCdfVariable Mask(string name, string longName, int[] values) => new(name, dimensions, NetCdfValues.Of(values),
    [
        .. WindDayFile.Attributes(("long_name", longName), ("flag_meanings", string.Join(' ', WindReasonCatalog.All.Select(r => r.Word))), ("coordinates", coordinates)),
        new("flag_masks", NetCdfValues.Of([.. WindReasonCatalog.All.Select(r => 1 << r.Bit)])), new("_FillValue", NetCdfValues.Of(IntFill)),
    ]);

    private static NetCdfAttribute[] With((string Name, string? Text)[] attributes, string? coordinates, NetCdfValues fill) =>
        [.. WindDayFile.Attributes(attributes), .. WindDayFile.Attributes(("coordinates", coordinates)), new("_FillValue", fill)];
}
