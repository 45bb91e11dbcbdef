using Phasekeeper.Packets.Ccsds;
using Phasekeeper.Packets.Decoding;
using Phasekeeper.Packets.Tests.Ccsds;
using Phasekeeper.Packets.Xtce;

namespace Phasekeeper.Packets.Tests.Decoding;

/// <summary>Each construct of XTCE that is read, on packets written byte by byte.</summary>
public class ConstructTests
{
    private static PacketValues Decode(string xtce, byte[] user, out DecodingPlan plan, int apid = 100, bool expected = true)
    {
        plan = Definitions.Compile(xtce, Definitions.Cds("T_DAY", "T_MS", null, crc16: false));
        var values = plan.CreateValues();
        var packet = PacketStream.One(apid, 1, [0, 1, 0, 0, 0, 2, .. user], crc16: false);
        Assert.Equal(expected, plan.TryDecode(packet, values));
        return values;
    }

    private static double Value(DecodingPlan plan, PacketValues values, string name) => values.Value(plan.Find(name)!.Slot);

    private static string Entry(string name, string inner = "") => $"<ParameterRefEntry parameterRef=\"{name}\">{inner}</ParameterRefEntry>";

    private static string Parameter(string name, string type) => $"<Parameter name=\"{name}\" parameterTypeRef=\"{type}\"/>";

    [Fact]
    public void Numbers_of_both_byte_orders_and_odd_sizes_are_read()
    {
        var types = Definitions.IntegerType("le16", 16, "byteOrder=\"leastSignificantByteFirst\"") + Definitions.IntegerType("s5", 5, "encoding=\"twosComplement\"")
            + Definitions.IntegerType("le24s", 24, "encoding=\"twosComplement\" byteOrder=\"leastSignificantByteFirst\"")
            + "<FloatParameterType name=\"f32le\"><FloatDataEncoding sizeInBits=\"32\" byteOrder=\"leastSignificantByteFirst\"/></FloatParameterType>";
        var xtce = Definitions.Wrap(types, Parameter("A", "le16") + Parameter("B", "s5") + Parameter("C", "u11") + Parameter("D", "le24s") + Parameter("E", "f32le"),
            Entry("A") + Entry("B") + Entry("C") + Entry("D") + Entry("E"));
        // 0x1234 turned round; 10111 = −9, then 11 bits 0x123; −2 in 24 bits turned round; 1.5f turned round.
        var values = Decode(xtce, [0x34, 0x12, 0xB9, 0x23, 0xFE, 0xFF, 0xFF, 0x00, 0x00, 0xC0, 0x3F], out var plan);
        Assert.Equal([0x1234, -9, 0x123, -2, 1.5], new[] { "A", "B", "C", "D", "E" }.Select(n => Value(plan, values, n)));
    }

    [Fact]
    public void A_binary_field_takes_its_size_from_a_parameter_by_linear_adjustment()
    {
        const string Types = """
            <BinaryParameterType name="blob"><BinaryDataEncoding><SizeInBits><DynamicValue><ParameterInstanceRef parameterRef="N" useCalibratedValue="false"/>
            <LinearAdjustment slope="8" intercept="-16"/></DynamicValue></SizeInBits></BinaryDataEncoding></BinaryParameterType>
            <StringParameterType name="text"><StringDataEncoding><SizeInBits><Fixed><FixedValue>32</FixedValue></Fixed></SizeInBits></StringDataEncoding></StringParameterType>
            """;
        var xtce = Definitions.Wrap(Types, Parameter("N", "u8") + Parameter("BLOB", "blob") + Parameter("TEXT", "text") + Parameter("AFTER", "u8"), Entry("N") + Entry("BLOB") + Entry("TEXT") + Entry("AFTER"));
        var values = Decode(xtce, [5, 0xA, 0xB, 0xC, (byte)'T', (byte)'E', (byte)'R', 0, 77], out var plan);
        var packet = PacketStream.One(100, 1, [0, 1, 0, 0, 0, 2, 5, 0xA, 0xB, 0xC, (byte)'T', (byte)'E', (byte)'R', 0, 77], false);
        Assert.Equal(77, Value(plan, values, "AFTER"));
        Assert.Equal([0xA, 0xB, 0xC], values.GetBytes(plan.Find("BLOB")!.Slot, packet));
        Assert.Equal("TER", values.GetText(plan.Find("TEXT")!.Slot, packet));
        Assert.Equal(QuarantineKind.BadLength, Decode(xtce, [1, 0, 0, 0, 0, 0], out _, expected: false).Refusal!.Kind);
    }

    [Fact]
    public void A_context_calibrator_follows_a_parameter_that_comes_later_in_the_packet()
    {
        var calibrators = """
            <DefaultCalibrator><PolynomialCalibrator><Term coefficient="2" exponent="1"/></PolynomialCalibrator></DefaultCalibrator>
            <ContextCalibratorList><ContextCalibrator><ContextMatch><Comparison parameterRef="MODE" value="HOT"/></ContextMatch>
            <Calibrator><SplineCalibrator><SplinePoint raw="0" calibrated="100"/><SplinePoint raw="100" calibrated="200"/></SplineCalibrator></Calibrator></ContextCalibrator></ContextCalibratorList>
            """;
        var types = Definitions.IntegerType("temp", 8, "", calibrators) + """
            <EnumeratedParameterType name="mode"><IntegerDataEncoding sizeInBits="8"/><EnumerationList><Enumeration value="0" label="COLD"/><Enumeration value="1" maxValue="3" label="HOT"/></EnumerationList>
            <DefaultAlarm defaultAlarmLevel="severe"><EnumerationAlarmList><EnumerationAlarm alarmLevel="normal" enumerationLabel="COLD"/><EnumerationAlarm alarmLevel="warning" enumerationLabel="HOT"/></EnumerationAlarmList></DefaultAlarm></EnumeratedParameterType>
            """;
        var xtce = Definitions.Wrap(types, Parameter("T", "temp") + Parameter("MODE", "mode"), Entry("T") + Entry("MODE"));
        var values = Decode(xtce, [50, 0], out var plan);
        Assert.Equal(100, Value(plan, values, "T"));
        values = Decode(xtce, [50, 2], out plan);
        Assert.Equal(150, Value(plan, values, "T"));
        Assert.Equal(("HOT", AlarmLevel.Warning), (values.Label(plan.Find("MODE")!.Slot), values.Alarm(plan.Find("MODE")!.Slot)));
        // Outside the spline's points there is no value, and a mode without a label has the default alarm.
        values = Decode(xtce, [101, 3], out plan);
        Assert.False(values.IsValid(plan.Find("T")!.Slot));
        values = Decode(xtce, [50, 9], out plan);
        Assert.Equal((null, AlarmLevel.Severe), (values.Label(plan.Find("MODE")!.Slot), values.Alarm(plan.Find("MODE")!.Slot)));
    }

    [Fact]
    public void Alarm_ranges_of_all_levels_are_applied_to_calibrated_values()
    {
        const string Alarm = """
            <IntegerParameterType name="a"><IntegerDataEncoding sizeInBits="8"/><DefaultAlarm minViolations="3"><StaticAlarmRanges>
            <WatchRange minExclusive="40" maxExclusive="60"/><WarningRange minExclusive="30" maxExclusive="70"/><DistressRange minExclusive="20" maxExclusive="80"/>
            <CriticalRange minExclusive="10" maxExclusive="90"/><SevereRange minInclusive="5" maxInclusive="95"/></StaticAlarmRanges></DefaultAlarm></IntegerParameterType>
            """;
        var xtce = Definitions.Wrap(Alarm, Parameter("A", "a"), Entry("A"));
        AlarmLevel Level(byte raw) => Decode(xtce, [raw], out var plan).Alarm(plan.Find("A")!.Slot);
        Assert.Equal([AlarmLevel.Normal, AlarmLevel.Watch, AlarmLevel.Warning, AlarmLevel.Distress, AlarmLevel.Critical, AlarmLevel.Critical, AlarmLevel.Severe],
            new byte[] { 60, 61, 71, 81, 91, 94, 95 }.Select(Level));
        Assert.Equal(AlarmLevel.Severe, Level(5));
        Decode(xtce, [0], out var p);
        Assert.Equal(3, p.Find("A")!.Ranges!.MinViolations);
    }

    [Fact]
    public void Include_conditions_offsets_and_included_containers_move_what_follows()
    {
        var parts = "<SequenceContainer name=\"Part\" abstract=\"true\"><EntryList>" + Entry("P1") + Entry("P2", "<LocationInContainerInBits referenceLocation=\"containerStart\"><FixedValue>16</FixedValue></LocationInContainerInBits>") + "</EntryList></SequenceContainer>";
        var entries = Entry("N") + "<ContainerRefEntry containerRef=\"Part\"><IncludeCondition><Comparison parameterRef=\"N\" comparisonOperator=\"&gt;\" value=\"1\"/></IncludeCondition></ContainerRefEntry>"
            + Entry("LAST", "<LocationInContainerInBits><FixedValue>4</FixedValue></LocationInContainerInBits>");
        var xtce = Definitions.Wrap(Definitions.IntegerType("u4", 4), Parameter("N", "u8") + Parameter("P1", "u8") + Parameter("P2", "u8") + Parameter("LAST", "u4"), entries, parts);
        var values = Decode(xtce, [2, 11, 99, 22, 0xF7], out var plan);
        Assert.Equal([11, 22, 7], new[] { "P1", "P2", "LAST" }.Select(n => Value(plan, values, n)));
        values = Decode(xtce, [1, 0xF8], out plan);
        Assert.False(values.IsPresent(plan.Find("P1")!.Slot));
        Assert.Equal(8, Value(plan, values, "LAST"));
    }

    [Fact]
    public void Arrays_of_fixed_and_changing_size_are_channels_by_element()
    {
        const string Types = """
            <ArrayParameterType name="two" arrayTypeRef="u8"><DimensionList><Dimension><StartingIndex><FixedValue>0</FixedValue></StartingIndex><EndingIndex><FixedValue>1</FixedValue></EndingIndex></Dimension>
            <Dimension><StartingIndex><FixedValue>0</FixedValue></StartingIndex><EndingIndex><FixedValue>2</FixedValue></EndingIndex></Dimension></DimensionList></ArrayParameterType>
            <ArrayParameterType name="some" arrayTypeRef="u16"><DimensionList><Dimension><StartingIndex><FixedValue>0</FixedValue></StartingIndex><EndingIndex><DynamicValue>
            <ParameterInstanceRef parameterRef="N"/><LinearAdjustment slope="1" intercept="-1"/></DynamicValue></EndingIndex></Dimension></DimensionList></ArrayParameterType>
            """;
        var xtce = Definitions.Wrap(Types, Parameter("N", "u8") + Parameter("M", "two") + Parameter("S", "some"), Entry("N") + "<ArrayParameterRefEntry parameterRef=\"M\"/><ArrayParameterRefEntry parameterRef=\"S\"/>");
        var values = Decode(xtce, [2, 1, 2, 3, 4, 5, 6, 0, 10, 1, 0], out var plan);
        Assert.Equal([1, 3, 4, 6], new[] { "M[0][0]", "M[0][2]", "M[1][0]", "M[1][2]" }.Select(n => Value(plan, values, n)));
        Assert.Equal([10, 256], new[] { "S[0]", "S[1]" }.Select(n => Value(plan, values, n)));
        Assert.False(values.IsPresent(plan.Find("S[2]")!.Slot));
        values = Decode(xtce, [0, 1, 2, 3, 4, 5, 6], out plan);
        Assert.False(values.IsPresent(plan.Find("S[0]")!.Slot));
    }

    [Fact]
    public void Booleans_times_and_unused_systems_are_read()
    {
        const string Types = """
            <BooleanParameterType name="flag" zeroStringValue="OFF" oneStringValue="ON"><IntegerDataEncoding sizeInBits="8"/></BooleanParameterType>
            <AbsoluteTimeParameterType name="moment"><Encoding units="seconds" scale="0.5"><IntegerDataEncoding sizeInBits="32"/></Encoding><ReferenceTime><Epoch>GPS</Epoch></ReferenceTime></AbsoluteTimeParameterType>
            """;
        var xtce = Definitions.Wrap(Types, Parameter("F", "flag") + Parameter("M", "moment"), Entry("F") + Entry("M"));
        var values = Decode(xtce, [7, 0, 0, 0, 20], out var plan);
        Assert.Equal("ON", values.Label(plan.Find("F")!.Slot));
        // Ten seconds after 1980-01-06 is 315964810 in Unix seconds.
        Assert.Equal(315964810, Value(plan, values, "M"));
    }

    [Fact]
    public void The_most_specific_container_wins_and_doubtful_packets_are_refused_with_the_reason()
    {
        static string Child(string name, string baseName, string criteria, string entries, string attributes = "") =>
            $"<SequenceContainer name=\"{name}\" {attributes}><EntryList>{entries}</EntryList><BaseContainer containerRef=\"{baseName}\"><RestrictionCriteria>{criteria}</RestrictionCriteria></BaseContainer></SequenceContainer>";
        var containers = Child("Deep", "Test", "<ComparisonList><Comparison parameterRef=\"ID\" value=\"7\"/><Comparison parameterRef=\"VERSION\" comparisonOperator=\"&lt;=\" value=\"0\"/></ComparisonList>", Entry("X"))
            + Child("One", "Packet", "<Comparison parameterRef=\"APID\" value=\"300\"/>", Entry("X")) + Child("Two", "Packet", "<Comparison parameterRef=\"APID\" comparisonOperator=\"&gt;=\" value=\"300\"/>", Entry("X"));
        var xtce = Definitions.Wrap("", Parameter("ID", "u8") + Parameter("X", "u8"), Entry("ID"), containers);
        Assert.Equal("Deep", Decode(xtce, [7, 1], out _).Container!.Name);
        Assert.Equal("Test", Decode(xtce, [8], out _).Container!.Name);
        Assert.Equal("Two", Decode(xtce, [8], out var plan, apid: 301).Container!.Name);
        var left = Decode(xtce, [8, 1], out _, expected: false).Refusal!;
        Assert.Equal(QuarantineKind.NoContainer, left.Kind);
        Assert.Contains("1 byte(s) are left over", left.Reason, StringComparison.Ordinal);
        Assert.Contains("ambiguous", Decode(xtce, [8], out _, apid: 300, expected: false).Refusal!.Reason, StringComparison.Ordinal);
        Assert.Equal(QuarantineKind.NoContainer, Decode(xtce, [8], out _, apid: 50, expected: false).Refusal!.Kind);
        Assert.Equal(QuarantineKind.BadLength, Decode(xtce, [8, 8], out _, apid: 301, expected: false).Refusal!.Kind);
        Assert.Equal((13, 14), plan.FramingRules.LengthsOf(100));
        Assert.False(plan.FramingRules.IsKnown(50));
        Assert.Equal(["ID", "X"], plan.Channels.Where(c => !c.IsTimeField).Select(c => c.Name));
    }

    [Fact]
    public void Names_resolve_through_nested_systems_by_relative_and_absolute_paths()
    {
        var xtce = Definitions.Wrap("", Parameter("A", "/Root/Sub/inner") + Parameter("B", "Sub/inner"), Entry("A") + Entry("/Root/B") + Entry("Sub/C"))
            .Replace("</TelemetryMetaData></SpaceSystem>", $"</TelemetryMetaData><SpaceSystem name=\"Sub\"><TelemetryMetaData><ParameterTypeSet>{Definitions.IntegerType("inner", 8)}</ParameterTypeSet>"
                + $"<ParameterSet>{Parameter("C", "u16")}</ParameterSet></TelemetryMetaData></SpaceSystem></SpaceSystem>", StringComparison.Ordinal);
        var values = Decode(xtce, [1, 2, 3, 4], out var plan);
        Assert.Equal([1, 2, 0x304], new[] { "A", "B", "/Root/Sub/C" }.Select(n => Value(plan, values, n)));
    }
}
