using FsCheck.Xunit;
using Phasekeeper.Packets.Tests.Ccsds;

namespace Phasekeeper.Packets.Tests.Decoding;

/// <summary>Decoding undoes encoding for any layout of bits, and any bytes are decoded or refused.</summary>
public class DecodingProperties
{
    [Property(MaxTest = 60)]
    public void Values_written_into_any_bit_layout_are_read_back(int seed)
    {
        var random = new Random(seed);
        var fields = Enumerable.Range(0, random.Next(1, 20)).Select(i => (Name: $"P{i}", Bits: random.Next(1, 65), Signed: random.Next(2) == 0, Value: random.NextInt64(long.MinValue, long.MaxValue))).ToArray();
        var bits = string.Concat(fields.Select(f => Convert.ToString(f.Value, 2).PadLeft(64, '0')[(64 - f.Bits)..]));
        bits = bits.PadRight((bits.Length + 7) / 8 * 8, '0');
        var bytes = Enumerable.Range(0, bits.Length / 8).Select(i => Convert.ToByte(bits.Substring(8 * i, 8), 2)).ToArray();
        var xtce = Definitions.Wrap(string.Concat(fields.Select(f => Definitions.IntegerType("t" + f.Name, f.Bits, f.Signed ? "encoding=\"twosComplement\"" : ""))),
            string.Concat(fields.Select(f => $"<Parameter name=\"{f.Name}\" parameterTypeRef=\"t{f.Name}\"/>")), string.Concat(fields.Select(f => $"<ParameterRefEntry parameterRef=\"{f.Name}\"/>")));
        var plan = Definitions.Compile(xtce, Definitions.Cds("T_DAY", "T_MS", null));
        var values = plan.CreateValues();
        Assert.True(plan.TryDecode(PacketStream.One(100, 1, [0, 1, 0, 0, 0, 2, .. bytes], crc16: true), values), values.Refusal?.Reason);
        foreach (var f in fields)
        {
            // The same bits, sign-extended or filled with zeros, by shifts on the whole value.
            var expected = f.Signed ? f.Value << (64 - f.Bits) >> (64 - f.Bits) : (long)((ulong)f.Value << (64 - f.Bits) >> (64 - f.Bits));
            Assert.Equal(expected, values.Raw(plan.Find(f.Name)!.Slot));
        }
    }

    [Property(MaxTest = 300)]
    public void Any_bytes_are_decoded_or_refused_with_a_reason(byte[] bytes, byte count)
    {
        const string Types = """
            <ArrayParameterType name="some" arrayTypeRef="u16"><DimensionList><Dimension><EndingIndex><DynamicValue><ParameterInstanceRef parameterRef="N"/></DynamicValue></EndingIndex></Dimension></DimensionList></ArrayParameterType>
            <BinaryParameterType name="blob"><BinaryDataEncoding><SizeInBits><DynamicValue><ParameterInstanceRef parameterRef="N"/><LinearAdjustment slope="3" intercept="-40"/></DynamicValue></SizeInBits></BinaryDataEncoding></BinaryParameterType>
            """;
        var plan = Definitions.Compile(Definitions.Wrap(Types, "<Parameter name=\"N\" parameterTypeRef=\"u8\"/><Parameter name=\"S\" parameterTypeRef=\"some\"/><Parameter name=\"B\" parameterTypeRef=\"blob\"/>",
            "<ParameterRefEntry parameterRef=\"N\"/><ParameterRefEntry parameterRef=\"B\"/><ArrayParameterRefEntry parameterRef=\"S\"/>"), Definitions.Cds("T_DAY", "T_MS", null));
        var values = plan.CreateValues();
        foreach (var packet in new[] { bytes, PacketStream.One(100, 1, [0, 1, 0, 0, 0, 2, count, .. bytes], crc16: true) })
            Assert.Equal(plan.TryDecode(packet, values), values.Refusal is null);
    }
}
