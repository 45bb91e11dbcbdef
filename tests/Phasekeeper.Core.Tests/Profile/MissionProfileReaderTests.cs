using Phasekeeper.Core.Input;
using Phasekeeper.Core.Instrument;
using Phasekeeper.Core.Profile;

namespace Phasekeeper.Core.Tests.Profile;

public class MissionProfileReaderTests
{
    [Fact]
    public void A_valid_profile_is_read_whole_with_its_defaults()
    {
        var profile = Read(ProfileText.Profile, out var errors);

        Assert.Empty(errors);
        Assert.NotNull(profile);
        Assert.Equal("Kittiwake", profile.Spacecraft);
        Assert.Equal("2030-01-01T00:00:00Z", profile.SpanStart.ToString());
        Assert.True(profile.Packets.Crc16);
        Assert.Equal(2, profile.Instrument!.Rows);
        Assert.Equal(3.5, profile.Instrument.CentreSample);
        Assert.Equal(TimeTag.Middle, profile.Fringe!.TimeTag);
        Assert.Null(profile.AttitudeFile);
        Assert.Empty(profile.Instrument.Fiducials);
        Assert.Equal(new AttitudeSigma(0, 0, 0), profile.Instrument.AttitudeSigmaDeg);
        Assert.Equal(0, profile.Instrument.ZeroWindSigmaMs);
        Assert.Equal(AvoidanceAngles.Default, profile.Instrument.Avoid);
    }

    [Fact]
    public void Uncertainties_and_avoidance_angles_may_be_stated_in_part()
    {
        var profile = Read(ProfileText.Profile.Replace("\"name\": \"TERN\",", "\"name\": \"TERN\", \"attitudeSigmaDeg\": { \"yaw\": 0.01 }, \"zeroWindSigmaMs\": 2.5, \"avoidDeg\": { \"moon\": 7 },", StringComparison.Ordinal), out var errors);
        Assert.Empty(errors);
        Assert.Equal(new AttitudeSigma(0.01, 0, 0), profile!.Instrument!.AttitudeSigmaDeg);
        Assert.Equal(2.5, profile.Instrument.ZeroWindSigmaMs);
        Assert.Equal(new AvoidanceAngles(15, 7), profile.Instrument.Avoid);
    }

    [Theory]
    [InlineData("""["sun in the way", "heater"]""", null)]
    [InlineData("""["heater", "Heater"]""", "$.flagCauses[1]: found \"Heater\"; expected each cause once")]
    [InlineData("[]", "0 causes")]
    [InlineData("""[" heater"]""", "without blanks around them")]
    [InlineData("""["a\u0007b"]""", "without control characters")]
    [InlineData("\"heater\"", "a list of texts")]
    public void The_missions_own_causes_are_checked(string list, string? mistake)
    {
        var profile = Read(ProfileText.Profile.Replace("\"coefficients\":", $"\"flagCauses\": {list}, \"coefficients\":", StringComparison.Ordinal), out var errors);
        if (mistake is null) Assert.Equal(["sun in the way", "heater"], profile!.FlagCauses);
        else Assert.Contains(mistake, Assert.Single(errors).ToString(), StringComparison.Ordinal);
        Assert.Equal(["instrument", "environment", "planned activity", "data system", "rule too tight", "unknown"], Read(ProfileText.Profile, out _)!.FlagCauses);
    }

    [Fact]
    public void Housekeeping_alone_needs_only_schema_name_and_packets()
    {
        var profile = Read("""
            { "schema": "phasekeeper-profile/1", "spacecraft": { "name": "W" },
              "packets": { "definition": "d.xml", "time": { "code": "cuc", "coarse": "S", "fine": "F", "fineBits": 16,
                           "epoch": "1980-01-06T00:00:00Z", "scale": "gps" } } }
            """, out var errors);

        Assert.Empty(errors);
        Assert.Null(profile!.Fringe);
        Assert.False(profile.Packets.Crc16);
        Assert.Equal(TimeScale.Gps, profile.Packets.Time.Scale);
        Assert.Equal(16, profile.Packets.Time.FineBits);
        Assert.Equal("1990-01-01T00:00:00Z", profile.SpanStart.ToString());
    }

    [Theory]
    [InlineData("\"rows\": 2", "\"rows\": -3", "profile.json, $.instrument.rows: found -3; expected a whole number from 1 to 4096.")]
    [InlineData("\"code\": \"cds\"", "\"code\": \"cdx\"", "profile.json, $.packets.time.code: found \"cdx\"; expected \"cds\" or \"cuc\".")]
    [InlineData("\"checksum\"", "\"checksumm\"", "profile.json, $.packets.checksumm: found an unknown key; expected one of definition, checksum, time.")]
    [InlineData("[21.6, 21.4]", "[21.6]", "profile.json, $.instrument.rowDepressionDeg: found a list of 1; expected a list of 2 numbers from -90 to 90.")]
    [InlineData("[21.6, 21.4]", "[21.6, \"x\"]", "profile.json, $.instrument.rowDepressionDeg[1]: found \"x\"; expected a number from -90 to 90.")]
    [InlineData("\"orbit\": \"orbit.oem\",", "", "profile.json, $.orbit: found nothing; expected a text.")]
    [InlineData("\"orbit\": \"orbit.oem\"", "\"orbit\": \"../orbit.oem\"", "profile.json, $.orbit: found \"../orbit.oem\"; expected the name of a file in the same folder, without a path.")]
    [InlineData("2040-01-01", "2020-01-01", "profile.json, $.missionSpan: found an end 2020-01-01T00:00:00Z that is not after the start 2030-01-01T00:00:00Z; expected two times in ISO 8601 UTC, the earlier first.")]
    [InlineData("{ \"id\": \"F\", \"azimuthDeg\": 45.0 }", "{ \"id\": \"F\", \"azimuthDeg\": 45.0 }, { \"id\": \"F\", \"azimuthDeg\": 135.0 }", "profile.json, $.instrument.views: found the id \"F\" more than once; expected each id once.")]
    [InlineData("\"name\": \"TERN\",", "\"name\": \"TERN\", \"name\": \"T\",", "profile.json, $.instrument.name: found the key a second time; expected each key once.")]
    [InlineData("\"name\": \"TERN\",", "\"name\": \"TERN\", \"attitudeSigmaDeg\": { \"yaw\": -1 },", "profile.json, $.instrument.attitudeSigmaDeg.yaw: found -1; expected a number from 0 to 10.")]
    [InlineData("\"name\": \"TERN\",", "\"name\": \"TERN\", \"avoidDeg\": { \"mars\": 1 },", "profile.json, $.instrument.avoidDeg.mars: found an unknown key; expected one of sun, moon.")]
    [InlineData("\"orbit\": \"orbit.oem\",", "\"orbit\": \"orbit.oem\", \"activityKinds\": [ { \"id\": \"spin\", \"title\": \"Spin\", \"expects\": [\"wind\"], \"settlingMinutes\": 30 } ],", "profile.json, $.activityKinds[0].expects[0]: found \"wind\"; expected one of attitude, coverage, clock, heater, temperature, spikes, damage, gap, late, incomplete, lamp-missing, lamp-supply, lamp, detector, image-shift, coefficients, thermal-phase, scene-phase, visibility, other.")]
    [InlineData("\"orbit\": \"orbit.oem\",", "\"orbit\": \"orbit.oem\", \"activityKinds\": [ { \"id\": \"Spin\", \"title\": \"Spin\", \"expects\": [], \"settlingMinutes\": 30 } ],", "profile.json, $.activityKinds[0].id: found \"Spin\"; expected up to 40 small letters, digits and hyphens, a letter first.")]
    [InlineData("\"orbit\": \"orbit.oem\",", "\"orbit\": \"orbit.oem\", \"activityKinds\": [ { \"id\": \"spin\", \"title\": \"Spin\", \"expects\": [], \"settlingMinutes\": -1 } ],", "profile.json, $.activityKinds[0].settlingMinutes: found -1; expected a number from 0 to 43200.")]
    public void A_mistake_is_one_clear_message(string right, string wrong, string message)
    {
        Assert.Contains(right, ProfileText.Profile, StringComparison.Ordinal);
        var profile = Read(ProfileText.Profile.Replace(right, wrong, StringComparison.Ordinal), out var errors);

        Assert.Null(profile);
        Assert.Equal([message], errors.Select(e => e.ToString()));
    }

    [Fact]
    public void A_profile_adds_kinds_of_activities_and_changes_usual_ones()
    {
        var profile = Read(ProfileText.Profile.Replace("\"orbit\": \"orbit.oem\",", """
            "orbit": "orbit.oem", "activityKinds": [
              { "id": "spin-up", "title": "Spin-up", "expects": ["attitude"], "settlingMinutes": 30, "winds": "always", "words": ["wheel"] },
              { "id": "lamp-test", "title": "Lamp check", "expects": ["lamp"], "settlingMinutes": 35 } ],
            """, StringComparison.Ordinal), out var errors);
        Assert.Empty(errors);
        var kinds = profile!.ActivityKinds;
        Assert.Equal("spin-up", kinds.Of([], "Reaction wheel run").Id);
        Assert.Equal(("Lamp check", 2100.0), (kinds.Of(["Lamp-Test"], null).Title, kinds.Find("lamp-test")!.SettlingS));
        Assert.Equal("manoeuvre", kinds.Of([], "Orbit raise 3").Id);
    }

    [Fact]
    public void All_mistakes_of_a_file_are_reported_together()
    {
        var text = ProfileText.Profile.Replace("\"rows\": 2", "\"rows\": 2.5", StringComparison.Ordinal)
            .Replace("phasekeeper-profile/1", "phasekeeper-profile/9", StringComparison.Ordinal)
            .Replace("\"container\": \"FringeRow\",", "", StringComparison.Ordinal);
        Read(text, out var errors);

        Assert.Equal(["$.schema", "$.fringe.container", "$.instrument.rows"],
            errors.Select(e => e.Where));
    }

    [Fact]
    public void Text_that_is_not_json_names_line_and_column()
    {
        Read("{\n  \"schema\": phasekeeper\n}", out var errors);
        var error = Assert.Single(errors);
        Assert.StartsWith("line 2, column", error.Where, StringComparison.Ordinal);
    }

    private static MissionProfile? Read(string text, out List<InputError> errors)
    {
        errors = [];
        return MissionProfileReader.Read(text, "profile.json", errors);
    }
}
