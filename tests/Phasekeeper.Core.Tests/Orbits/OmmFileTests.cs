using Phasekeeper.Core.Orbits;
using Phasekeeper.Core.Orbits.Files;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Tests.Orbits;

public class OmmFileTests
{
    // The elements of the verification case 28057 (AIAA 2006-6753), written as a message.
    private const string Kvn = """
        CCSDS_OMM_VERS = 2.0
        CREATION_DATE = 2006-06-26T20:00:00
        ORIGINATOR = TEST
        COMMENT made up of a two-line set
        OBJECT_NAME = VERIFICATION
        OBJECT_ID = 2003-049A
        CENTER_NAME = EARTH
        REF_FRAME = TEME
        TIME_SYSTEM = UTC
        MEAN_ELEMENT_THEORY = SGP4
        EPOCH = 2006-177T18:52:04.079712
        MEAN_MOTION = 14.35478080 [rev/day]
        ECCENTRICITY = 0.0000884
        INCLINATION = 98.4283 [deg]
        RA_OF_ASC_NODE = 247.6961 [deg]
        ARG_OF_PERICENTER = 88.1964 [deg]
        MEAN_ANOMALY = 271.9322 [deg]
        EPHEMERIS_TYPE = 0
        CLASSIFICATION_TYPE = U
        NORAD_CAT_ID = 28057
        ELEMENT_SET_NO = 183
        REV_AT_EPOCH = 14055
        BSTAR = 0.000035940 [1/ER]
        MEAN_MOTION_DOT = 0.00000060 [rev/day**2]
        MEAN_MOTION_DDOT = 0.0 [rev/day**3]
        USER_DEFINED_COLOUR = blue
        """;

    private const string Tle = "1 28057U 03049A   06177.78615833  .00000060  00000-0  35940-4 0  1836\n2 28057  98.4283 247.6961 0000884  88.1964 271.9322 14.35478080140550\n";

    private static string Xml()
    {
        var lines = Kvn.Split('\n').Select(l => l.Split('=', 2)).Where(p => p.Length == 2 && !p[0].StartsWith("CCSDS") && !p[0].StartsWith("USER")).ToDictionary(p => p[0].Trim(), p => p[1].Split('[')[0].Trim());
        string Of(params string[] keys) => string.Concat(keys.Select(k => $"<{k}>{lines[k]}</{k}>\n"));
        return "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<ndm><omm id=\"CCSDS_OMM_VERS\" version=\"2.0\"><header>" + Of("CREATION_DATE", "ORIGINATOR") + "</header><body><segment><metadata>"
            + Of("OBJECT_NAME", "OBJECT_ID", "CENTER_NAME", "REF_FRAME", "TIME_SYSTEM", "MEAN_ELEMENT_THEORY") + "</metadata><data><meanElements>"
            + Of("EPOCH", "MEAN_MOTION", "ECCENTRICITY", "INCLINATION", "RA_OF_ASC_NODE", "ARG_OF_PERICENTER", "MEAN_ANOMALY") + "</meanElements><tleParameters>"
            + Of("EPHEMERIS_TYPE", "CLASSIFICATION_TYPE", "NORAD_CAT_ID", "ELEMENT_SET_NO", "REV_AT_EPOCH", "BSTAR", "MEAN_MOTION_DOT", "MEAN_MOTION_DDOT")
            + "</tleParameters><userDefinedParameters><USER_DEFINED parameter=\"COLOUR\">blue</USER_DEFINED></userDefinedParameters></data></segment></body></omm></ndm>\n";
    }

    [Fact]
    public void Key_value_xml_and_two_line_forms_give_the_same_elements_and_states()
    {
        var tle = TleFile.Read("a.tle", Tle).Value;
        var kvn = OmmFile.Read("a.omm", Kvn).Value;
        var xml = OmmFile.Read("a.omm", Xml()).Value;
        Assert.Equal(tle.Sets.Single(), kvn.Sets.Single());
        Assert.Equal(tle.Sets.Single(), xml.Sets.Single());
        var time = tle.Sets.Single().Epoch.AddSeconds(100_000);
        Assert.True(tle.TryGetState(time, out var a) && kvn.TryGetState(time, out var b) && a == b);
    }

    [Fact]
    public void What_sgp4_cannot_take_is_refused_with_line_found_and_expected()
    {
        var text = Kvn.Replace("REF_FRAME = TEME", "REF_FRAME = GCRF").Replace("TIME_SYSTEM = UTC", "TIME_SYSTEM = TDB").Replace("= SGP4", "= DSST")
            .Replace("MEAN_MOTION = 14.35478080 [rev/day]", "SEMI_MAJOR_AXIS = 7100 [km]").Replace("98.4283 [deg]", "1.7 [rad]").Replace("0.0000884", "1.2");
        var errors = OmmFile.Read("orbit.omm", text).Errors.Select(e => e.ToString()).ToList();
        Assert.Contains("orbit.omm, line 8: found REF_FRAME = GCRF; expected TEME.", errors);
        Assert.Contains("orbit.omm, line 9: found TIME_SYSTEM = TDB; expected UTC.", errors);
        Assert.Contains("orbit.omm, line 10: found MEAN_ELEMENT_THEORY = DSST; expected SGP4 or SGP/SGP4.", errors);
        Assert.Contains(errors, e => e.StartsWith("orbit.omm, line 12: found SEMI_MAJOR_AXIS; expected a keyword", StringComparison.Ordinal));
        Assert.Contains("orbit.omm, line 1: found no MEAN_MOTION; expected MEAN_MOTION in the message that begins here.", errors);
        Assert.Contains("orbit.omm, line 14: found INCLINATION in [rad]; expected [deg].", errors);
        Assert.Contains("orbit.omm, line 13: found ECCENTRICITY = 1.2; expected a number from 0 to 0.999999.", errors);
    }

    [Fact]
    public void Broken_xml_and_document_types_are_refused()
    {
        Assert.StartsWith("XML that cannot be read", OmmFile.Read("a.omm", "<ndm><omm></ndm>").Errors.Single().Found);
        Assert.StartsWith("XML that cannot be read", OmmFile.Read("a.omm", "<!DOCTYPE x [<!ENTITY a \"b\">]><ndm/>").Errors.Single().Found);
        Assert.Equal("no message", OmmFile.Read("a.omm", "<ndm/>").Errors.Single().Found);
    }

    [Fact]
    public void Several_messages_are_read_and_the_satellite_is_chosen_by_its_number()
    {
        var other = Kvn.Replace("NORAD_CAT_ID = 28057", "NORAD_CAT_ID = 99201");
        Assert.Contains("sets of 2 satellites (28057, 99201)", OmmFile.Read("a.omm", Kvn + "\n" + other).Errors.Single().Found);
        Assert.Equal(99201, OmmFile.Read("a.omm", Kvn + "\n" + other, 99201).Value.Sets.Single().CatalogNumber);
        Assert.Contains("catalogue number 28057", OmmFile.Read("a.omm", Kvn, 99201).Errors.Single().Found);
    }

    [Theory]
    [InlineData("a.omm", typeof(MeanElementsEphemeris))]
    [InlineData("A.TLE", typeof(MeanElementsEphemeris))]
    public void An_orbit_file_is_read_by_the_ending_of_its_name(string name, Type type)
    {
        Assert.IsType(type, OrbitFile.Read(name, name.EndsWith("omm", StringComparison.Ordinal) ? Kvn : Tle).Value);
        Assert.Contains(".oem, .omm or .tle", OrbitFile.Read("orbit.txt", Kvn).Errors.Single().Expected);
        Assert.False(OrbitFile.Read("a.oem", Kvn).Ok);
    }

    [Fact]
    public void The_nearest_set_is_used_and_none_beyond_three_days()
    {
        // A second set four days later (its checksum recomputed: one digit went from 7 to 1 and one from 7 to 8, so 5 less in the sum).
        var later = Tle.Replace("06177.78615833", "06181.78615833").Replace("  1836\n", "  1831\n");
        var file = TleFile.Read("a.tle", "NAME\n" + later + "NAME\n" + Tle);
        Assert.True(file.Ok, file.Message);
        var sets = file.Value;
        var epoch = sets.Sets.First().Epoch;
        Assert.Equal(4 * 86400, sets.Sets.Last().Epoch - epoch, 1e-6);
        Assert.Equal(10 * 86400, sets.End - sets.Start, 1e-6);
        Assert.False(sets.TryGetState(epoch.AddSeconds(-3 * 86400 - 1e-6), out _));
        Assert.False(sets.TryGetState(epoch.AddSeconds(7 * 86400 + 1e-6), out _));
        var single = TleFile.Read("a.tle", Tle).Value;
        foreach (var days in new[] { 1.0, 1.99 })
        {
            sets.TryGetState(epoch.AddSeconds(days * 86400), out var a);
            single.TryGetState(epoch.AddSeconds(days * 86400), out var b);
            Assert.Equal(b, a);
        }
        sets.TryGetState(epoch.AddSeconds(2.01 * 86400), out var c);
        single.TryGetState(epoch.AddSeconds(2.01 * 86400), out var d);
        Assert.NotEqual(c, d);
        Assert.Equal(Instant.ParseUtc("2006-06-26T18:52:04.079712Z"), epoch);
    }

    [Fact]
    public void A_changed_or_cut_two_line_set_is_answered_with_the_expected_columns()
    {
        var changed = TleFile.Read("a.tle", Tle.Replace("98.4283", "98.4284")).Errors.Single();
        Assert.Equal(2, changed.Line);
        Assert.Equal("checksum '0' in column 69", changed.Found);
        var cut = TleFile.Read("a.tle", Tle.Replace("  1836\n", "\n")).Errors.Single();
        Assert.StartsWith("63 columns: '1 28057U", cut.Found);
        Assert.Equal("69: 1 NNNNNC NNNNNAAA NNNNN.NNNNNNNN +.NNNNNNNN +NNNNN-N +NNNNN-N N NNNNN", cut.Expected);
        // A letter in a number, with a right checksum: O counts nothing, so the sum lacks no digit where a 0 stood.
        var letter = TleFile.Read("a.tle", Tle.Replace("98.4283 247", "98.4283 O47").Replace("140550\n", "140558\n")).Errors.Single();
        Assert.Contains("right ascension of the node in columns 18–25", letter.Expected);
        Assert.Contains("expected columns: 2 NNNNN NNN.NNNN", letter.Expected);
        Assert.Equal("a line 2 without its line 1", TleFile.Read("a.tle", Tle.Split('\n')[1]).Errors.Single().Found);
        Assert.Equal("a line 1 without its line 2", TleFile.Read("a.tle", Tle.Split('\n')[0]).Errors.Single().Found);
        Assert.Equal("no element set", TleFile.Read("a.tle", "hello").Errors.Single().Found);
    }

    [Fact]
    public void Alpha_5_catalogue_numbers_are_read()
    {
        // Letters count nothing in the checksum: A instead of 2 takes 2 from the sum of each line.
        var text = Tle.Replace("1 28057", "1 A8057").Replace("2 28057", "2 A8057").Replace("  1836\n", "  1834\n").Replace("140550\n", "140558\n");
        Assert.Equal(108057, TleFile.Read("a.tle", text).Value.Sets.Single().CatalogNumber);
    }
}
