using System.Globalization;
using System.Text.Json;
using System.Xml.Linq;
using Phasekeeper.Core.Time;
using Phasekeeper.Demo.Environment;
using Phasekeeper.Demo.ForwardModel;
using Phasekeeper.Demo.Profile;
using Phasekeeper.Demo.Telemetry;

namespace Phasekeeper.Demo.Tests.Profile;

public sealed class ProfileWriterTests : IDisposable
{
    private readonly string folder = Directory.CreateTempSubdirectory("demo-profile").FullName;

    public ProfileWriterTests() => Generators.Quiet.WriteProfile(folder, Generators.Quiet.Scenario.At(24));

    public void Dispose() => Directory.Delete(folder, recursive: true);

    private JsonElement Json(string name) => JsonDocument.Parse(File.ReadAllText(Path.Combine(folder, name))).RootElement;

    [Fact]
    public void The_profile_names_files_that_are_there_and_the_instrument_that_makes_the_data()
    {
        var profile = Json("profile.json");
        Assert.Equal("phasekeeper-profile/1", profile.GetProperty("schema").GetString());
        Assert.Equal("Kittiwake", profile.GetProperty("spacecraft").GetProperty("name").GetString());
        foreach (var file in new[] { profile.GetProperty("orbit"), profile.GetProperty("packets").GetProperty("definition"), profile.GetProperty("coefficients"), profile.GetProperty("activities") })
            Assert.True(File.Exists(Path.Combine(folder, file.GetString()!)), file.GetString());
        var instrument = profile.GetProperty("instrument");
        Assert.Equal(Tern.Rows, instrument.GetProperty("rows").GetInt32());
        Assert.Equal(Tern.Samples, instrument.GetProperty("samples").GetInt32());
        Assert.Equal(Tern.Rows, instrument.GetProperty("rowDepressionDeg").GetArrayLength());
        foreach (var line in instrument.GetProperty("lines").EnumerateArray())
        {
            // contract: F_L − F = (σ_L − σ)·N·dD.
            double sigma = 1e9 / line.GetProperty("wavelengthVacuumNm").GetDouble(), lamp = 1e9 / line.GetProperty("lampWavelengthVacuumNm").GetDouble();
            Assert.Equal((lamp - sigma) * Tern.Samples * line.GetProperty("opdStepUm").GetDouble() * 1e-6,
                line.GetProperty("lampCycles").GetDouble() - line.GetProperty("cycles").GetDouble(), 1e-5);
            Assert.InRange(line.GetProperty("lampCycles").GetDouble(), 10, Tern.Samples / 2.5);
        }
    }

    [Fact]
    public void The_ground_calibration_is_near_the_truth_but_not_the_truth()
    {
        var coefficients = Json("coefficients.json");
        var optics = coefficients.GetProperty("optics").EnumerateArray().ToArray();
        Assert.Equal(4, optics.Length);
        foreach (var (o, truth) in optics.Zip(Generators.Quiet.Instrument.Optics))
        {
            var thermal = o.GetProperty("thermal");
            Assert.InRange(Math.Abs(thermal.GetProperty("radPerK").GetDouble() / truth.RadPerK - 1), 1e-5, 0.0046);
            Assert.InRange(Math.Abs(thermal.GetProperty("lagS").GetDouble() - ThermalTruth.OpticsLagS), 0.05, 6.1);
            Assert.Equal(truth.ZeroWindRad, o.GetProperty("zeroWindRad").EnumerateArray().Select(z => z.GetDouble()));
            var flat = File.ReadLines(Path.Combine(folder, o.GetProperty("flat").GetString()!)).Select(l => l.Split(',').Select(v => double.Parse(v, CultureInfo.InvariantCulture)).ToArray()).ToArray();
            Assert.Equal(Tern.Rows, flat.Length);
            for (var r = 0; r < flat.Length; r++)
                for (var i = 0; i < Tern.Samples; i++) Assert.Equal(truth.Flat[r][i], flat[r][i], 0.002);
        }
        Assert.Equal(12, coefficients.GetProperty("badSamples").GetArrayLength());
    }

    [Fact]
    public void The_definition_holds_every_channel_with_unit_calibration_and_alarm()
    {
        var xml = XDocument.Load(Path.Combine(folder, "packets.xtce.xml"));
        XNamespace x = "http://www.omg.org/spec/XTCE/20180204";
        var parameters = xml.Descendants(x + "Parameter").ToDictionary(p => p.Attribute("name")!.Value);
        var types = xml.Descendants(x + "ParameterTypeSet").Elements().ToDictionary(t => t.Attribute("name")!.Value);
        foreach (var p in parameters.Values) Assert.True(types.ContainsKey(p.Attribute("parameterTypeRef")!.Value), p.ToString());
        foreach (var reference in xml.Descendants().Where(e => e.Name.LocalName is "ParameterRefEntry" or "ArrayParameterRefEntry"))
            Assert.True(parameters.ContainsKey(reference.Attribute("parameterRef")!.Value), reference.ToString());
        foreach (var c in HousekeepingChannels.Packets.SelectMany(p => p.Channels))
        {
            var type = types[c.Name + "_type"];
            Assert.Equal(c.Unit.Length > 0 ? c.Unit : null, type.Element(x + "UnitSet")!.Element(x + "Unit")?.Value);
            Assert.Equal(c.Calibration is not null, type.Descendants(x + "DefaultCalibrator").Any());
            Assert.Equal(c.Labels?.Length ?? 0, type.Descendants(x + "Enumeration").Count());
            Assert.Equal(c.Warning is not null, type.Descendants(x + "WarningRange").Any());
        }
    }

    [Fact]
    public void The_orbit_file_holds_the_orbit_between_its_lines_too()
    {
        var lines = File.ReadAllLines(Path.Combine(folder, "orbit.oem")).SkipWhile(l => l != "META_STOP").Skip(1).Where(l => l.Length > 0)
            .Select(l => l.Split(' ')).Select(f => (Time: Instant.ParseUtc(f[0]), State: f.Skip(1).Select(v => double.Parse(v, CultureInfo.InvariantCulture) * 1000).ToArray())).ToArray();
        Assert.True(lines[0].Time <= Generators.Quiet.FirstPacket && lines[^1].Time >= Generators.Quiet.Scenario.At(24));
        // Hermite interpolation of degree 7 through four states (the interpolation that the file names), by Newton's divided differences.
        for (var i = 1; i + 2 < lines.Length; i += 37)
        {
            var at = lines[i].Time.AddSeconds(57);
            var truth = Generators.Quiet.Orbit.StateAt(at).PositionTemeM;
            Assert.Equal(truth.X, Hermite(lines.AsSpan(i - 1, 4).ToArray().Select(l => (l.Time - at, l.State[0], l.State[3])).ToArray()), 0.001);
            Assert.Equal(truth.Z, Hermite(lines.AsSpan(i - 1, 4).ToArray().Select(l => (l.Time - at, l.State[2], l.State[5])).ToArray()), 0.001);
        }
    }

    [Fact]
    public void Planned_activities_are_a_calendar_with_the_manoeuvre_and_the_lamp_test()
    {
        var text = File.ReadAllText(Path.Combine(folder, "activities.ics"));
        Assert.StartsWith("BEGIN:VCALENDAR\r\nVERSION:2.0\r\n", text, StringComparison.Ordinal);
        Assert.EndsWith("END:VCALENDAR\r\n", text, StringComparison.Ordinal);
        Assert.Contains("DTSTART:20310417T100000Z\r\nDTEND:20310417T104500Z\r\nSUMMARY:Lamp test\r\n", text, StringComparison.Ordinal);
        Assert.Contains("DTSTART:20310508T130000Z\r\nDTEND:20310508T133000Z\r\nSUMMARY:Slew manoeuvre\r\n", text, StringComparison.Ordinal);
        Assert.All(text.Split("\r\n"), l => Assert.InRange(l.Length, 0, 75));
    }

    [Fact]
    public void A_later_orbit_file_says_its_span()
    {
        var from = Generators.Quiet.Scenario.At(1000);
        var text = OrbitFile.Write(Generators.Quiet.Orbit, from, from.AddSeconds(3601), from);
        Assert.Contains($"START_TIME = {from.ToString().TrimEnd('Z')}\nSTOP_TIME = {from.AddSeconds(3720).ToString().TrimEnd('Z')}\n", text, StringComparison.Ordinal);
        Assert.Equal(32, text.Split('\n').Count(l => l.StartsWith("2031-05-", StringComparison.Ordinal)));
    }

    // Value at 0 of the polynomial through values and slopes.
    private static double Hermite((double T, double Value, double Slope)[] points)
    {
        var n = 2 * points.Length;
        var t = points.SelectMany(p => new[] { p.T, p.T }).ToArray();
        var d = points.SelectMany(p => new[] { p.Value, p.Value }).ToArray();
        var result = d[0];
        double product = 1;
        for (var order = 1; order < n; order++)
        {
            for (var i = 0; i < n - order; i++)
                d[i] = t[i + order] == t[i] ? points[i / 2].Slope : (d[i + 1] - d[i]) / (t[i + order] - t[i]);
            product *= -t[order - 1];
            result += d[0] * product;
        }
        return result;
    }
}
