using Phasekeeper.Core.Orbits;
using Phasekeeper.Core.Orbits.Files;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Tests.Orbits;

public class OemFileTests
{
    private const string Header = "CCSDS_OEM_VERS = 2.0\nCREATION_DATE = 2031-03-20T00:00:00\nORIGINATOR = TEST\n";

    private static string Segment(string frame = "TEME", string system = "UTC", string extra = "", string states = States) =>
        $"META_START\nOBJECT_NAME = KITTIWAKE\nOBJECT_ID = 2031-001A\nCENTER_NAME = EARTH\nREF_FRAME = {frame}\nTIME_SYSTEM = {system}\n"
        + $"START_TIME = 2031-03-21T21:00:00\nSTOP_TIME = 2031-03-21T21:10:00\n{extra}META_STOP\n{states}";

    private const string States = "2031-03-21T21:00:00.000 7000 0 0 0 7.5 0\n2031-03-21T21:01:00.000 6985.6 449.6 0 -0.48 7.48 0\n2031-03-21T21:02:00.000 6942 897 0 -0.96 7.43 0\n";

    [Fact]
    public void States_are_read_in_metres_and_are_exact_at_the_nodes()
    {
        var oem = OemFile.Read("a.oem", Header + Segment()).Value;
        Assert.Equal(EphemerisKind.Oem, oem.Kind);
        Assert.Equal(Instant.FromUtc(2031, 3, 21, 21), oem.Start);
        Assert.Equal(Instant.FromUtc(2031, 3, 21, 21, 2), oem.End);
        Assert.True(oem.TryGetState(Instant.FromUtc(2031, 3, 21, 21, 1), out var state));
        Assert.Equal(new(6_985_600, 449_600, 0), state.PositionTemeM);
        Assert.Equal(new(-480, 7480, 0), state.VelocityTemeMs);
    }

    [Fact]
    public void There_is_no_state_outside_the_file_or_in_a_gap_between_segments()
    {
        var later = Segment(states: States.Replace("T21:0", "T21:3")).Replace("STOP_TIME = 2031-03-21T21:10", "STOP_TIME = 2031-03-21T21:40");
        var oem = OemFile.Read("a.oem", Header + Segment() + later).Value;
        Assert.Equal(2, oem.Coverage.Count);
        Assert.False(oem.TryGetState(oem.Start.AddSeconds(-1e-9), out _));
        Assert.False(oem.TryGetState(Instant.FromUtc(2031, 3, 21, 21, 15), out _));
        Assert.False(oem.TryGetState(oem.End.AddSeconds(1e-9), out _));
        Assert.True(oem.TryGetState(Instant.FromUtc(2031, 3, 21, 21, 31, 30), out _));
    }

    [Fact]
    public void The_useable_stretch_narrows_the_coverage_but_its_nodes_still_serve()
    {
        var oem = OemFile.Read("a.oem", Header + Segment(extra: "USEABLE_START_TIME = 2031-03-21T21:00:30\nUSEABLE_STOP_TIME = 2031-03-21T21:01:30\n")).Value;
        Assert.Equal(Instant.FromUtc(2031, 3, 21, 21, 0, 30), oem.Start);
        Assert.Equal(Instant.FromUtc(2031, 3, 21, 21, 1, 30), oem.End);
        Assert.Equal(3, oem.Segments.Single().Nodes.Count);
    }

    [Fact]
    public void Comments_covariance_blocks_accelerations_and_days_of_year_are_understood()
    {
        var text = Header + "COMMENT made up\n" + Segment(states: "COMMENT states\n" + States.Replace("2031-03-21T", "2031-080T").Replace(" 7.5 0\n", " 7.5 0 -0.008 0 0\n"))
            + "COVARIANCE_START\nEPOCH = 2031-03-21T21:00:00\nCOV_REF_FRAME = RTN\n1.0e-3\n1e-4 2e-3\nCOVARIANCE_STOP\n";
        Assert.Equal(Instant.FromUtc(2031, 3, 21, 21), OemFile.Read("a.oem", text).Value.Start);
    }

    [Theory]
    [InlineData("UTC", 0)]
    [InlineData("TAI", -37)]
    [InlineData("GPS", -18)]
    [InlineData("TT", -69.184)]
    public void Time_systems_are_converted(string system, double utcMinusFileSeconds)
    {
        var oem = OemFile.Read("a.oem", Header + Segment(system: system)).Value;
        Assert.Equal(utcMinusFileSeconds, oem.Start - Instant.FromUtc(2031, 3, 21, 21), 1e-9);
    }

    [Fact]
    public void All_mistakes_of_a_file_are_reported_together_with_their_lines()
    {
        var text = Header + Segment(frame: "MOON_PA", system: "TDB", extra: "INTERPOLATION = LINEAR\nFLAVOUR = sweet\n",
            states: "2031-03-21T21:00:00 7000 0 0 0 7.5\n2031-03-21T25:00:00 7000 0 0 0 7.5 0\n2031-03-21T21:01:00 7000 x 0 0 7.5 0\n");
        var result = OemFile.Read("orbit.oem", text);
        Assert.False(result.Ok);
        Assert.Equal(
        [
            "orbit.oem, line 8: found REF_FRAME = MOON_PA; expected TEME, EME2000 (or J2000, ICRF, GCRF) or an ITRF such as ITRF2000.",
            "orbit.oem, line 9: found TIME_SYSTEM = TDB; expected UTC, TAI, GPS or TT.",
            "orbit.oem, line 12: found INTERPOLATION = LINEAR; expected HERMITE or LAGRANGE.",
            "orbit.oem, line 13: found 'FLAVOUR = sweet'; expected one of OBJECT_NAME, OBJECT_ID, CENTER_NAME, REF_FRAME, REF_FRAME_EPOCH, TIME_SYSTEM, START_TIME, USEABLE_START_TIME, USEABLE_STOP_TIME, STOP_TIME, INTERPOLATION, INTERPOLATION_DEGREE, or META_STOP.",
            "orbit.oem, line 15: found 6 fields: '2031-03-21T21:00:00 7000 0 0 0 7.5'; expected a time and x y z (km) vx vy vz (km/s), with or without three accelerations.",
            "orbit.oem, line 16: found the time '2031-03-21T25:00:00'; expected yyyy-mm-ddThh:mm:ss[.fff] or yyyy-dddThh:mm:ss[.fff].",
            "orbit.oem, line 17: found 'x' as number 2 of the state; expected a time and x y z (km) vx vy vz (km/s), with or without three accelerations.",
        ], result.Errors.Select(e => e.ToString()));
        Assert.Throws<FormatException>(() => result.Value);
    }

    [Theory]
    [InlineData("", "an empty file")]
    [InlineData("hello\n", "'hello'")]
    [InlineData("CCSDS_OEM_VERS = 9.0\n", "CCSDS_OEM_VERS = 9.0")]
    [InlineData("CCSDS_OEM_VERS = 2.0\n", "no segment")]
    [InlineData("CCSDS_OEM_VERS = 2.0\nMETA_START\nCENTER_NAME = EARTH\n", "META_START without META_STOP")]
    [InlineData("CCSDS_OEM_VERS = 2.0\n2031-03-21T21:00:00 7000 0 0 0 7.5 0\n", "'2031-03-21T21:00:00 7000 0 0 0 7.5 0'")]
    public void A_file_that_is_no_orbit_message_is_refused(string text, string found)
    {
        Assert.Equal(found, OemFile.Read("a.oem", text).Errors[0].Found);
    }

    [Fact]
    public void Times_that_do_not_rise_and_lone_states_are_refused()
    {
        var twice = OemFile.Read("a.oem", Header + Segment(states: States + "2031-03-21T21:02:00 6942 897 0 -0.96 7.43 0\n"));
        Assert.Equal("one after that of line 15", twice.Errors.Single().Expected);
        var lone = OemFile.Read("a.oem", Header + Segment(states: States.Split('\n')[0] + "\n"));
        Assert.Equal("1 states in the segment that begins here", lone.Errors.Single().Found);
    }
}
