using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Instrument;
using Phasekeeper.Packets.Ccsds;
using Phasekeeper.Packets.Decoding;
using Phasekeeper.Packets.Tests.Ccsds;

namespace Phasekeeper.Packets.Tests.Decoding;

/// <summary>Fringe rows: samples of any encoding, labels, and what is refused.</summary>
public class FringeRowReaderTests
{
    private static readonly InstrumentModel Instrument = new()
    {
        Name = "TEST",
        Rows = 30,
        Samples = 4,
        ReadNoiseElectrons = 8,
        SaturationCounts = 60000,
        RowDepressionDeg = new double[30],
        Views = [new("F", 45)],
        Lines =
        [
            new() { Id = "green", WavelengthVacuumNm = 557.9, Cycles = 57.7, OpdMm = 50, OpdStepUm = 46.9, LampWavelengthVacuumNm = 557.2, LampCycles = 85 },
        ],
    };

    private static DecodingPlan Plan(string element)
    {
        static string Labels(string name, params string[] labels) =>
            $"<EnumeratedParameterType name=\"{name}\"><IntegerDataEncoding sizeInBits=\"8\"/><EnumerationList>{string.Concat(labels.Select((l, i) => $"<Enumeration value=\"{i}\" label=\"{l}\"/>"))}</EnumerationList></EnumeratedParameterType>";
        var types = Labels("kind", "scene", "lamp", "odd") + Labels("view", "F", "A") + Labels("line", "green") + element
            + "<ArrayParameterType name=\"samples\" arrayTypeRef=\"sample\"><DimensionList><Dimension><EndingIndex><FixedValue>3</FixedValue></EndingIndex></Dimension></DimensionList></ArrayParameterType>";
        (string Name, string Type)[] fields = [("FR_EXPOSURE", "u32"), ("FR_KIND", "kind"), ("FR_VIEW", "view"), ("FR_LINE", "line"), ("FR_ROW", "u8"), ("FR_INTEGRATION_MS", "u32"), ("FR_SAMPLES", "samples")];
        var xtce = Definitions.Wrap(types, string.Concat(fields.Select(f => $"<Parameter name=\"{f.Name}\" parameterTypeRef=\"{f.Type}\"/>")),
            string.Concat(fields.Select(f => f.Type == "samples" ? $"<ArrayParameterRefEntry parameterRef=\"{f.Name}\"/>" : $"<ParameterRefEntry parameterRef=\"{f.Name}\"/>")));
        return Definitions.Compile(xtce.Replace("name=\"Test\"", "name=\"FringeRow\"", StringComparison.Ordinal), Definitions.Cds("T_DAY", "T_MS", null), Definitions.Fringe);
    }

    private static byte[] Packet(byte kind, byte view, byte row, byte[] samples) =>
        PacketStream.One(100, 1, [0, 1, 0, 0, 0, 2, 0, 0, 1, 0, kind, view, 0, row, 0, 0, 0x27, 0x10, .. samples], crc16: true);

    [Theory]
    [InlineData(16, "", "", "00010203FFFF8000", new ushort[] { 1, 0x0203, 0xFFFF, 0x8000 })]
    [InlineData(16, "byteOrder=\"leastSignificantByteFirst\"", "", "00010203FFFF8000", new ushort[] { 0x100, 0x302, 0xFFFF, 0x80 })]
    [InlineData(12, "", "", "001FFF800123", new ushort[] { 1, 0xFFF, 0x800, 0x123 })]
    [InlineData(8, "encoding=\"twosComplement\"", "<DefaultCalibrator><PolynomialCalibrator><Term coefficient=\"200\" exponent=\"0\"/><Term coefficient=\"0.5\" exponent=\"1\"/></PolynomialCalibrator></DefaultCalibrator>", "00FE807F", new ushort[] { 200, 199, 136, 264 })]
    public void Samples_of_any_encoding_become_counts(int bits, string attributes, string inner, string hex, ushort[] expected)
    {
        var plan = Plan(Definitions.IntegerType("sample", bits, attributes, inner));
        var values = plan.CreateValues();
        Assert.True(plan.TryDecode(Packet(1, 0, 29, Convert.FromHexString(hex)), values), values.Refusal?.Reason);
        Assert.Equal(expected, values.Samples.ToArray());
        Assert.True(new FringeRowReader(plan, Instrument).TryRead(values, out var row, out var refusal), refusal?.Reason);
        Assert.Equal(new FringeRow(256, ExposureKind.Lamp, "F", "green", 29, 10.0), row);
        // Neither the row's fields nor its time are charted.
        Assert.Empty(values.Container!.Channels);
    }

    [Fact]
    public void A_sample_that_is_no_16_bit_count_is_refused()
    {
        var plan = Plan(Definitions.IntegerType("sample", 8, "encoding=\"twosComplement\""));
        var values = plan.CreateValues();
        Assert.False(plan.TryDecode(Packet(1, 0, 0, [1, 2, 0xFF, 4]), values));
        Assert.Equal(QuarantineKind.BadValue, values.Refusal!.Kind);
        Assert.StartsWith("Sample 2 of FR_SAMPLES is -1; expected counts from 0 to 65535", values.Refusal.Reason, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(9, 0, 0, "FR_KIND is 9, which the definition gives no label; expected scene, lamp, dark, flat.")]
    [InlineData(2, 0, 0, "FR_KIND is 'odd'; expected scene, lamp, dark, flat.")]
    [InlineData(0, 1, 0, "FR_VIEW is 'A'; expected F.")]
    [InlineData(0, 0, 30, "FR_ROW is 30; the instrument has rows 0 to 29.")]
    public void Labels_and_rows_that_are_not_known_are_refused_with_what_was_expected(byte kind, byte view, byte row, string reason)
    {
        var plan = Plan(Definitions.IntegerType("sample", 16));
        var values = plan.CreateValues();
        Assert.True(plan.TryDecode(Packet(kind, view, row, new byte[8]), values));
        Assert.False(new FringeRowReader(plan, Instrument).TryRead(values, out _, out var refusal));
        Assert.Equal(new Refusal(QuarantineKind.UnknownLabel, reason), refusal);
    }

    [Fact]
    public void Decoding_a_row_allocates_nothing()
    {
        var plan = Plan(Definitions.IntegerType("sample", 16));
        var values = plan.CreateValues();
        var reader = new FringeRowReader(plan, Instrument);
        var packet = Packet(0, 0, 1, new byte[8]);
        for (var i = 0; i < 100; i++) plan.TryDecode(packet, values);
        var before = GC.GetAllocatedBytesForCurrentThread();
        for (var i = 0; i < 1000; i++)
        {
            plan.TryDecode(packet, values);
            reader.TryRead(values, out _, out _);
        }
        // Well below one object a packet (24 bytes): what the runtime itself may add is constant.
        Assert.InRange(GC.GetAllocatedBytesForCurrentThread() - before, 0, 2000);
    }
}
