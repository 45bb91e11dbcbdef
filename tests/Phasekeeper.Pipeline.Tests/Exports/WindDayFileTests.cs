using System.Buffers.Binary;
using System.Diagnostics;
using System.Globalization;
using System.Text.Json;
using Phasekeeper.Pipeline.Exports;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Tests.Exports;

public sealed class WindDayFileTests
{
    private static readonly DateOnly EndsWithLeapSecond = new(2016, 12, 31);

    [Fact]
    public void Equal_winds_give_equal_bytes()
    {
        var bytes = ClassicNetCdfTests.Bytes(WindDayFile.Of(SimulatedWindDay.Of(SimulatedWindDay.Date)));
        Assert.Equal(bytes, ClassicNetCdfTests.Bytes(WindDayFile.Of(SimulatedWindDay.Of(SimulatedWindDay.Date))));
        var day = SimulatedWindDay.Of(SimulatedWindDay.Date);
        Assert.NotEqual(bytes, ClassicNetCdfTests.Bytes(WindDayFile.Of(day with { Winds = [day.Winds[0] with { InputHash = [99] }, .. day.Winds.Skip(1)] })));
    }

    [Fact]
    public void An_exposure_whose_earlier_looks_straddle_an_orbits_start_keeps_the_orbit_of_each()
    {
        var day = SimulatedWindDay.Of(SimulatedWindDay.Date);
        var split = day.Vectors.SelectMany(v => new[] { v with { Vectors = [.. v.Vectors.Where(w => w.Row < 5)] }, v with { Orbit = v.Orbit + 1, Vectors = [.. v.Vectors.Where(w => w.Row >= 5)] } }).ToArray();
        static int[] Orbits(WindDay of)
        {
            var values = WindDayFile.Of(of).Variables.Single(v => v.Name == "vector_orbit").Values;
            var bytes = new byte[values.Count * values.Size];
            values.Write(0, values.Count, bytes);
            return [.. Enumerable.Range(0, values.Count).Select(i => BinaryPrimitives.ReadInt32BigEndian(bytes.AsSpan(4 * i))).Where(o => o > 0)];
        }
        var (whole, parted) = (Orbits(day), Orbits(day with { Vectors = split }));
        Assert.All(whole, o => Assert.Equal(12, o));
        Assert.Equal(whole.Length, parted.Length);
        Assert.Equal(day.Vectors.Sum(v => v.Vectors.Count(w => w.Row >= 5)), parted.Count(o => o == 13));
    }

    [Fact]
    public void Orbit_files_are_named_by_their_content_alone()
    {
        var day = SimulatedWindDay.Of(SimulatedWindDay.Date);
        var moved = day with { Winds = [.. day.Winds.Select(w => w with { EphemerisFile = 9 })], OrbitFiles = new Dictionary<long, string> { [9] = day.OrbitFiles[2] } };
        Assert.Equal("sha256 0123456789ab", WindDayFile.Of(moved).Attributes.Single(a => a.Name == "orbit_files").Text);
    }

    [Fact]
    public void A_day_without_vectors_has_no_empty_dimension()
    {
        var file = WindDayFile.Of(SimulatedWindDay.Of(SimulatedWindDay.Date) with { Vectors = [] });
        Assert.DoesNotContain(file.Dimensions, d => d.Name == "vector");
        Assert.DoesNotContain(file.Variables, v => v.Name == "eastward_wind");
        ClassicNetCdfTests.Bytes(file);
    }

    [NetCdfToolsFact]
    public void Ncdump_reads_dimensions_attributes_and_values()
    {
        var text = Run("ncdump", SimulatedWindDay.Date, path => ["-v", "time,los_wind_quality,view_id", path]);
        Assert.Contains("time = 6 ;", text, StringComparison.Ordinal);
        Assert.Contains("float los_wind(time, view, line, row) ;", text, StringComparison.Ordinal);
        Assert.Contains(":Conventions = \"CF-1.11\" ;", text, StringComparison.Ordinal);
        Assert.Contains("coefficient_set:flag_meanings = \"ground_1__corrected\" ;", text, StringComparison.Ordinal);
        Assert.Contains("time = 0.25, 60.25, 120.25, 180.25, 240.25, 300.25 ;", text, StringComparison.Ordinal);
    }

    [NetCdfToolsFact]
    public void Ncdump_reads_what_people_hold_and_the_winds_keep_their_numbers()
    {
        static WindDay Held(WindDay day) => day with { Held = new Dictionary<int, HoldKind> { [12] = HoldKind.Orbit }, SignOff = "orbits that begin on 2031-05-09: signed off as remarks" };
        var text = Run("ncdump", SimulatedWindDay.Date, path => ["-v", "held,vector_held", path], with: Held);
        Assert.Contains("held:flag_meanings = \"not_held held_with_its_day held_by_itself held_with_its_day_and_by_itself\" ;", text, StringComparison.Ordinal);
        Assert.Contains("held:flag_values = 0b, 1b, 2b, 3b ;", text, StringComparison.Ordinal);
        Assert.Contains(" held = 2, 2, 2, 2, 2, 2 ;", text, StringComparison.Ordinal);
        Assert.Contains(":held_orbits = \"12\" ;", text, StringComparison.Ordinal);
        Assert.Contains(":sign_off = \"orbits that begin on 2031-05-09: signed off as remarks\" ;", text, StringComparison.Ordinal);
        var free = Run("ncdump", SimulatedWindDay.Date, path => ["-v", "held", path]);
        Assert.Contains(" held = 0, 0, 0, 0, 0, 0 ;", free, StringComparison.Ordinal);
        Assert.Contains(":sign_off = \"not signed off\" ;", free, StringComparison.Ordinal);
        static string Winds(string dump) => dump[dump.IndexOf(" los_wind =", StringComparison.Ordinal)..];
        Assert.Equal(Winds(Run("ncdump", SimulatedWindDay.Date, path => ["-v", "los_wind", path])), Winds(Run("ncdump", SimulatedWindDay.Date, path => ["-v", "los_wind", path], with: Held)));
    }

    [NetCdfToolsFact]
    public void Xarray_reads_the_winds_where_they_were_measured()
    {
        const string script = """
            import sys, json, numpy as np, xarray as xr
            d = xr.open_dataset(sys.argv[1])
            w = d["los_wind"]
            print(json.dumps(dict(
                dims=list(w.dims), times=[str(t) for t in d.time.values[[0, -1]]], views=[v.decode() for v in d.view_id.values], missing=int(np.isnan(w.isel(row=1).values).sum()),
                sample=float(w.isel(time=4, view=1, line=0, row=5)), error=float(d.los_wind_error.isel(time=4, view=1, line=0, row=5)), bottom=int(d.los_wind_quality.isel(time=0, view=0, line=0, row=0)),
                doubtful=int(d.los_wind_quality_doubtful_reasons.isel(time=0, view=0, line=0, row=1)), east=float(d.eastward_wind.isel(vector=1, line=1, row=7)), vtime=str(d.vector_time.isel(vector=0, line=0, row=7).values),
                coords=sorted(d.eastward_wind.coords), monotonic=bool(d.indexes["time"].is_monotonic_increasing), attrs=d.attrs["Conventions"])))
            """;
        var json = JsonDocument.Parse(Run("/usr/bin/python3", SimulatedWindDay.Date, path => ["-c", script, path])).RootElement;
        Assert.Equal("""["time", "view", "line", "row"]""", json.GetProperty("dims").GetRawText());
        Assert.Equal("2031-05-09T00:00:00.250000000", json.GetProperty("times")[0].GetString());
        // One exposure of one line is missing in both views.
        Assert.Equal(2, json.GetProperty("missing").GetInt32());
        Assert.Equal((4 + 0.125 * 5, 8.0), (json.GetProperty("sample").GetDouble(), json.GetProperty("error").GetDouble()));
        Assert.Equal(2, json.GetProperty("bottom").GetInt32());
        Assert.Equal(1 << 9 | 1 << 16, json.GetProperty("doubtful").GetInt32());
        Assert.Equal(-47, json.GetProperty("east").GetDouble());
        Assert.Equal("2031-05-09T00:00:40.250000000", json.GetProperty("vtime").GetString());
        Assert.Equal("""["line_id", "row", "vector_altitude", "vector_latitude", "vector_longitude", "vector_time"]""", json.GetProperty("coords").GetRawText());
        Assert.True(json.GetProperty("monotonic").GetBoolean());
    }

    [NetCdfToolsFact]
    public void Xarray_sees_a_profile_through_the_averaging_kernel()
    {
        const string script = """
            import sys, json, xarray as xr
            d = xr.open_dataset(sys.argv[1])
            at = dict(time=3, view=1, line=0)
            # A true wind of 100 m/s at all heights, and one that grows by 1 m/s a kilometre.
            seen = (d.averaging_kernel.isel(**at) * 100).sum("kernel_level", skipna=True)
            grown = (d.averaging_kernel.isel(**at) * d.kernel_altitude.isel(time=3, view=1)).sum("kernel_level", skipna=True)
            print(json.dumps(dict(dims=list(d.averaging_kernel.dims), row2=float(seen[2]), row1=float(grown[1]), none=bool(d.averaging_kernel.isel(row=0, **at).isnull().all()), length=float(d.regularisation_length.isel(**at)),
                missing=bool(d.averaging_kernel.isel(time=2, view=0, line=1).isnull().all()))))
            """;
        var json = JsonDocument.Parse(Run("/usr/bin/python3", SimulatedWindDay.Date, path => ["-c", script, path])).RootElement;
        Assert.Equal("""["time", "view", "line", "row", "kernel_level"]""", json.GetProperty("dims").GetRawText());
        Assert.Equal(112.5, json.GetProperty("row2").GetDouble(), 1e-4);
        Assert.Equal(-0.25 * 88 + 0.5 * 96 + 0.0625 * 140, json.GetProperty("row1").GetDouble(), 1e-4);
        Assert.Equal(16, json.GetProperty("length").GetDouble());
        Assert.True(json.GetProperty("none").GetBoolean() && json.GetProperty("missing").GetBoolean());
    }

    // The last exposure lies within the leap second, 23:59:60.5: 86,400.5 s after midnight.
    [NetCdfToolsFact]
    public void A_day_that_ends_with_a_leap_second_counts_it()
    {
        var text = Run("ncdump", EndsWithLeapSecond, path => ["-v", "time", path], 86_100.25);
        Assert.Contains("time = 86100.5, 86160.5, 86220.5, 86280.5, 86340.5, 86400.5 ;", text, StringComparison.Ordinal);
        Assert.Contains("time:units = \"seconds since 2016-12-31 00:00:00\" ;", text, StringComparison.Ordinal);
    }

    private static string Run(string program, DateOnly date, Func<string, string[]> arguments, double firstSecond = 0, Func<WindDay, WindDay>? with = null)
    {
        var path = Path.Combine(Directory.CreateTempSubdirectory("phasekeeper-nc-").FullName, string.Create(CultureInfo.InvariantCulture, $"{date:yyyy-MM-dd}.nc"));
        try
        {
            var day = SimulatedWindDay.Of(date, firstSecond);
            File.WriteAllBytes(path, ClassicNetCdfTests.Bytes(WindDayFile.Of(with is null ? day : with(day))));
            using var process = Process.Start(new ProcessStartInfo(program, arguments(path)) { RedirectStandardOutput = true, RedirectStandardError = true })!;
            var errors = process.StandardError.ReadToEndAsync();
            var text = process.StandardOutput.ReadToEnd();
            process.WaitForExit();
            Assert.True(process.ExitCode == 0, $"{program} ended with {process.ExitCode}: {errors.GetAwaiter().GetResult()}");
            return text;
        }
        finally
        {
            Directory.Delete(Path.GetDirectoryName(path)!, recursive: true);
        }
    }
}

/// <summary>A test that lets other people's programs read a file: skipped, visibly, where they are absent (tests/run installs them).</summary>
[AttributeUsage(AttributeTargets.Method)]
public sealed class NetCdfToolsFactAttribute : FactAttribute
{
    private static readonly Lazy<string?> Missing = new(() =>
    {
        try
        {
            using var ncdump = Process.Start(new ProcessStartInfo("ncdump") { RedirectStandardError = true, RedirectStandardOutput = true })!;
            ncdump.WaitForExit();
            using var xarray = Process.Start(new ProcessStartInfo("/usr/bin/python3", ["-c", "import xarray, netCDF4"]) { RedirectStandardError = true })!;
            xarray.WaitForExit();
            return xarray.ExitCode == 0 ? null : "Python's xarray and netCDF4 are not installed (Debian: python3-xarray, python3-netcdf4).";
        }
        catch (System.ComponentModel.Win32Exception e)
        {
            return $"ncdump is not installed (Debian: netcdf-bin): {e.Message}";
        }
    });

    /// <summary>Looks for the programs once.</summary>
    public NetCdfToolsFactAttribute() => Skip = Missing.Value;
}
