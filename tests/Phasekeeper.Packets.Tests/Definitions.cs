using Phasekeeper.Core.Profile;
using Phasekeeper.Packets.Decoding;
using Phasekeeper.Packets.Xtce;

namespace Phasekeeper.Packets.Tests;

/// <summary>Small XTCE definitions for tests, and the settings that go with them.</summary>
public static class Definitions
{
    /// <summary>Fringe settings of the example mission and the tests' own definitions.</summary>
    public static readonly FringeSettings Fringe = new()
    {
        Container = "FringeRow",
        Exposure = "FR_EXPOSURE",
        Kind = "FR_KIND",
        View = "FR_VIEW",
        Line = "FR_LINE",
        Row = "FR_ROW",
        Integration = "FR_INTEGRATION_MS",
        Samples = "FR_SAMPLES",
    };

    /// <summary>Settings with a CDS time code counted from 1958 in UTC.</summary>
    public static PacketSettings Cds(string day, string millisecond, string? microsecond, bool crc16 = true) => new()
    {
        DefinitionFile = "packets.xtce.xml",
        Crc16 = crc16,
        Time = new PacketTimeSettings { IsCds = true, Day = day, Millisecond = millisecond, Microsecond = microsecond, Epoch = new DateTime(1958, 1, 1, 0, 0, 0, DateTimeKind.Utc), Scale = TimeScale.Utc },
    };

    /// <summary>The plan of a definition that is expected to be right.</summary>
    public static DecodingPlan Compile(string xtce, PacketSettings settings, FringeSettings? fringe = null)
    {
        Assert.True(DecodingPlan.TryCompile(xtce, settings, fringe, out var plan, out var errors), string.Join('\n', errors));
        return plan!;
    }

    /// <summary>The errors of a definition that is expected to be wrong.</summary>
    public static IReadOnlyList<XtceError> Errors(string xtce, PacketSettings? settings = null)
    {
        Assert.False(DecodingPlan.TryCompile(xtce, settings ?? Cds("T_DAY", "T_MS", null), null, out _, out var errors));
        return errors;
    }

    /// <summary>A number type by size, encoding attributes and calibrator.</summary>
    public static string IntegerType(string name, int bits, string attributes = "", string inner = "") =>
        $"<IntegerParameterType name=\"{name}\"><UnitSet/><IntegerDataEncoding sizeInBits=\"{bits}\" {attributes}>{inner}</IntegerDataEncoding></IntegerParameterType>";

    /// <summary>
    /// A definition with the primary header, a CDS time code and one container Test (APID 100) built on them; the pieces of the test go in.
    /// </summary>
    public static string Wrap(string types, string parameters, string entries, string containers = "") => $"""
        <SpaceSystem name="Root" xmlns="http://www.omg.org/spec/XTCE/20180204"><TelemetryMetaData>
        <ParameterTypeSet>
        {IntegerType("u1", 1)}{IntegerType("u2", 2)}{IntegerType("u3", 3)}{IntegerType("u8", 8)}{IntegerType("u11", 11)}{IntegerType("u14", 14)}{IntegerType("u16", 16)}{IntegerType("u32", 32)}
        {types}
        </ParameterTypeSet>
        <ParameterSet>
        <Parameter name="VERSION" parameterTypeRef="u3"/><Parameter name="TYPE" parameterTypeRef="u1"/><Parameter name="SHF" parameterTypeRef="u1"/><Parameter name="APID" parameterTypeRef="u11"/>
        <Parameter name="SEQF" parameterTypeRef="u2"/><Parameter name="SEQC" parameterTypeRef="u14"/><Parameter name="LEN" parameterTypeRef="u16"/>
        <Parameter name="T_DAY" parameterTypeRef="u16"/><Parameter name="T_MS" parameterTypeRef="u32"/>
        {parameters}
        </ParameterSet>
        <ContainerSet>
        <SequenceContainer name="Packet" abstract="true"><EntryList>
        <ParameterRefEntry parameterRef="VERSION"/><ParameterRefEntry parameterRef="TYPE"/><ParameterRefEntry parameterRef="SHF"/><ParameterRefEntry parameterRef="APID"/>
        <ParameterRefEntry parameterRef="SEQF"/><ParameterRefEntry parameterRef="SEQC"/><ParameterRefEntry parameterRef="LEN"/>
        <ParameterRefEntry parameterRef="T_DAY"/><ParameterRefEntry parameterRef="T_MS"/>
        </EntryList></SequenceContainer>
        <SequenceContainer name="Test"><EntryList>{entries}</EntryList>
        <BaseContainer containerRef="Packet"><RestrictionCriteria><Comparison parameterRef="APID" value="100"/></RestrictionCriteria></BaseContainer></SequenceContainer>
        {containers}
        </ContainerSet></TelemetryMetaData></SpaceSystem>
        """;
}
