using System.Globalization;
using System.Security.Cryptography;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Exports.NetCdf;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Exports;

/// <summary>
/// The winds of a UTC day as netCDF after the CF conventions 1.11 (cfconventions.org): line-of-sight winds over time × view × line × row, and wind vectors over
/// vector × line × row. Tangent points move with height, so latitude and longitude depend on the row as well: these are curtains, none of the sampling features of CF chapter 9, and none is claimed.
/// <para>
/// Times are seconds since 00:00 UTC of the file's own day. The standard calendar knows no leap seconds, and within one UTC day none is needed: elapsed seconds and clock
/// readings agree to the last second, also on a day that ends with a leap second. The bytes depend on the stored winds and on what people signed off or hold alone: there is no time of making in them.
/// </para>
/// </summary>
public static class WindDayFile
{
    /// <summary>The conventions that the file follows.</summary>
    public const string Conventions = "CF-1.11";

    /// <summary>Describes the file; write it with <see cref="ClassicNetCdf.Write"/>.</summary>
    public static NetCdfFile Of(WindDay day)
    {
        ArgumentNullException.ThrowIfNull(day);
        var instrument = day.Profile.Instrument ?? throw new ArgumentException("The mission has no instrument, so it has no winds.", nameof(day));
        var names = new WindDayNames(day);
        string[] views = [.. instrument.Views.Select(v => v.Id)], lines = [.. instrument.Lines.Select(l => l.Id)];
        var longest = views.Concat(lines).Max(System.Text.Encoding.UTF8.GetByteCount);
        var los = new WindDayLos(day, names, views, lines, instrument.Rows);
        var kernels = los.Kernels;
        var vectors = new WindDayVectors(day, names, lines, instrument.Rows);
        List<NetCdfDimension> dimensions =
        [
            new("time", los.Count), new("view", views.Length), new("line", lines.Length), new("row", instrument.Rows), new("name_length", longest),
        ];
        if (vectors.Count > 0) dimensions.Insert(4, new("vector", vectors.Count));
        if (kernels.Levels > 0) dimensions.Add(new(WindDayKernels.Dimension, kernels.Levels));
        List<NetCdfVariable> variables =
        [
            new("crs", [], NetCdfValues.Of(0), Attributes(("grid_mapping_name", "latitude_longitude"), ("long_name", "WGS 84"), ("reference_ellipsoid_name", "WGS 84"), ("horizontal_datum_name", "World Geodetic System 1984"))
                .Append(new("semi_major_axis", NetCdfValues.Of(6378137.0))).Append(new("inverse_flattening", NetCdfValues.Of(298.257223563))).ToArray()),
            new("view_id", ["view", "name_length"], NetCdfValues.Texts(views, longest), Attributes(("long_name", "view"))),
            new("line_id", ["line", "name_length"], NetCdfValues.Texts(lines, longest), Attributes(("long_name", "emission line"))),
            new("row", ["row"], NetCdfValues.Of([.. Enumerable.Range(0, instrument.Rows)]), [.. Attributes(("long_name", "detector row"), ("units", "1"))]),
            .. los.Variables(),
            .. kernels.Variables(),
            .. vectors.Variables(),
        ];
        return new(dimensions, Globals(day, names), variables);
    }

    private static IReadOnlyList<NetCdfAttribute> Globals(WindDay day, WindDayNames names)
    {
        var instrument = day.Profile.Instrument!;
        var versions = day.Winds.Select(w => w.SoftwareVersion).Concat(day.Vectors.Select(v => v.SoftwareVersion)).Distinct(StringComparer.Ordinal).Order(StringComparer.Ordinal).ToArray();
        var date = day.Date.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);
        return Attributes(
            ("Conventions", Conventions),
            ("title", $"Upper-atmosphere winds of {instrument.Name} on {day.Profile.Spacecraft}, {date} UTC"),
            ("platform", day.Profile.Spacecraft),
            ("instrument", instrument.Name),
            ("source", "Doppler asymmetric spatial heterodyne interferometer on orbit, airglow at the limb: fringe phases, lamp-anchored thermal model, optimal estimation of layer winds"),
            ("history", $"Winds by Phasekeeper {string.Join(", ", versions)}; file written by Phasekeeper {SoftwareVersion.Current}. The time of writing is left out on purpose: equal winds and decisions give equal bytes."),
            ("references", "C. D. Rodgers, Inverse Methods for Atmospheric Sounding (World Scientific, 2000), chapters 2, 3 and 5"),
            ("comment", "Eastward and northward winds are positive to the east and north; line-of-sight winds are positive away from the satellite. Heights are over the WGS 84 ellipsoid. "
                + "The relativistic second-order Doppler term (0.096 m s-1) is not included. A constant yaw error that nothing reports cannot be told from a zero-wind offset. Advice for science, not for safety of life."),
            ("time_coverage_start", date + "T00:00:00Z"),
            ("time_coverage_end", day.Date.AddDays(1).ToString("yyyy-MM-dd", CultureInfo.InvariantCulture) + "T00:00:00Z"),
            ("sign_off", day.SignOff),
            ("held_orbits", HeldText(day)),
            ("coefficient_sets", names.SetsText),
            ("orbit_files", names.OrbitFilesText),
            ("software_version", SoftwareVersion.Current),
            ("input_sha256", InputHash(day)));
    }

    private static string HeldText(WindDay day)
    {
        int[] held = [.. day.Winds.Select(w => w.Orbit).Concat(day.Vectors.Select(v => v.Orbit)).Distinct().Where(day.Held.ContainsKey).Order()];
        return held.Length == 0 ? "none" : string.Join(", ", held.Select(o => o.ToString(CultureInfo.InvariantCulture)));
    }

    // One hash over the hashes of all inputs, in the order of the winds.
    private static string InputHash(WindDay day)
    {
        using var hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        foreach (var w in day.Winds) hash.AppendData(w.InputHash);
        foreach (var v in day.Vectors) hash.AppendData(v.InputHash);
        return Convert.ToHexStringLower(hash.GetHashAndReset());
    }

    /// <summary>Attributes from pairs; those without a text are left out.</summary>
    internal static NetCdfAttribute[] Attributes(params (string Name, string? Text)[] pairs) => [.. pairs.Where(p => p.Text is not null).Select(p => new NetCdfAttribute(p.Name, p.Text!))];

    /// <summary>Attributes of a flag variable that says what people hold: bits of <see cref="HoldKind"/>.</summary>
    internal static NetCdfAttribute[] HeldAttributes(string of, string? coordinates) =>
    [
        .. Attributes(("long_name", $"whether people hold {of}: not to be used; the numbers are as they were made"), ("standard_name", "status_flag"), ("flag_meanings", "not_held held_with_its_day held_by_itself held_with_its_day_and_by_itself"), ("coordinates", coordinates)),
        new("flag_values", NetCdfValues.Of((sbyte)HoldKind.None, (sbyte)HoldKind.Day, (sbyte)HoldKind.Orbit, (sbyte)(HoldKind.Day | HoldKind.Orbit))),
    ];

    /// <summary>Attributes of a time.</summary>
    internal static NetCdfAttribute[] TimeAttributes(DateOnly date, string longName) => Attributes(
        ("standard_name", "time"), ("long_name", longName), ("units", $"seconds since {date:yyyy-MM-dd} 00:00:00"), ("calendar", "standard"),
        ("comment", "UTC. Seconds elapsed since 00:00 UTC of this day, so that no leap second lies in between."));

    /// <summary>Seconds since the day's midnight, UTC.</summary>
    internal static double SecondsOfDay(DateOnly date, Instant time) => time - Instant.StartOf(date);
}
