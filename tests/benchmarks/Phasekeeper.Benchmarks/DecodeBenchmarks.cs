using System.Buffers;
using BenchmarkDotNet.Attributes;
using Phasekeeper.Core.Profile;
using Phasekeeper.Packets.Ccsds;
using Phasekeeper.Packets.Decoding;

namespace Phasekeeper.Benchmarks;

/// <summary>
/// Fringe rows of 256 samples from bytes in memory to counts: framing with CRC-16 alone, decoding alone (labels and samples), and both.
/// Not measured: reading files, archiving, retrieval. One operation = 1000 packets.
/// </summary>
[MemoryDiagnoser]
public class DecodeBenchmarks
{
    private const int Packets = 1000;
    private const string Definition = """
        <SpaceSystem name="Bench"><TelemetryMetaData><ParameterTypeSet>
        <IntegerParameterType name="u5"><IntegerDataEncoding sizeInBits="5"/></IntegerParameterType><IntegerParameterType name="u11"><IntegerDataEncoding sizeInBits="11"/></IntegerParameterType>
        <IntegerParameterType name="u8"><IntegerDataEncoding sizeInBits="8"/></IntegerParameterType><IntegerParameterType name="u16"><IntegerDataEncoding sizeInBits="16"/></IntegerParameterType>
        <IntegerParameterType name="u32"><IntegerDataEncoding sizeInBits="32"/></IntegerParameterType>
        <EnumeratedParameterType name="label"><IntegerDataEncoding sizeInBits="8"/><EnumerationList><Enumeration value="0" label="scene"/></EnumerationList></EnumeratedParameterType>
        <ArrayParameterType name="samples" arrayTypeRef="u16"><DimensionList><Dimension><EndingIndex><FixedValue>255</FixedValue></EndingIndex></Dimension></DimensionList></ArrayParameterType>
        </ParameterTypeSet><ParameterSet><Parameter name="FLAGS" parameterTypeRef="u5"/><Parameter name="APID" parameterTypeRef="u11"/><Parameter name="SEQ" parameterTypeRef="u16"/><Parameter name="LEN" parameterTypeRef="u16"/>
        <Parameter name="DAY" parameterTypeRef="u16"/><Parameter name="MS" parameterTypeRef="u32"/><Parameter name="US" parameterTypeRef="u16"/>
        <Parameter name="EXPOSURE" parameterTypeRef="u32"/><Parameter name="KIND" parameterTypeRef="label"/><Parameter name="VIEW" parameterTypeRef="label"/><Parameter name="LINE" parameterTypeRef="label"/><Parameter name="ROW" parameterTypeRef="u8"/>
        <Parameter name="INTEGRATION" parameterTypeRef="u32"/><Parameter name="SAMPLES" parameterTypeRef="samples"/><Parameter name="CRC" parameterTypeRef="u16"/></ParameterSet><ContainerSet>
        <SequenceContainer name="Packet" abstract="true"><EntryList><ParameterRefEntry parameterRef="FLAGS"/><ParameterRefEntry parameterRef="APID"/><ParameterRefEntry parameterRef="SEQ"/><ParameterRefEntry parameterRef="LEN"/>
        <ParameterRefEntry parameterRef="DAY"/><ParameterRefEntry parameterRef="MS"/><ParameterRefEntry parameterRef="US"/></EntryList></SequenceContainer>
        <SequenceContainer name="Row"><EntryList><ParameterRefEntry parameterRef="EXPOSURE"/><ParameterRefEntry parameterRef="KIND"/><ParameterRefEntry parameterRef="VIEW"/><ParameterRefEntry parameterRef="LINE"/><ParameterRefEntry parameterRef="ROW"/>
        <ParameterRefEntry parameterRef="INTEGRATION"/><ArrayParameterRefEntry parameterRef="SAMPLES"/><ParameterRefEntry parameterRef="CRC"/></EntryList>
        <BaseContainer containerRef="Packet"><RestrictionCriteria><Comparison parameterRef="APID" value="200"/></RestrictionCriteria></BaseContainer></SequenceContainer></ContainerSet></TelemetryMetaData></SpaceSystem>
        """;

    private byte[] _bytes = [];
    private DecodingPlan _plan = null!;
    private PacketValues _values = null!;
    private FringeRowReader _rows = null!;
    private FramingResult _framed = null!;

    /// <summary>Makes the packets and the plan.</summary>
    [GlobalSetup]
    public void Setup()
    {
        var settings = new PacketSettings
        {
            DefinitionFile = "bench.xml",
            Crc16 = true,
            Time = new PacketTimeSettings { IsCds = true, Day = "DAY", Millisecond = "MS", Microsecond = "US", Epoch = new DateTime(1958, 1, 1), Scale = TimeScale.Utc },
        };
        var fringe = new FringeSettings { Container = "Row", Exposure = "EXPOSURE", Kind = "KIND", View = "VIEW", Line = "LINE", Row = "ROW", Integration = "INTEGRATION", Samples = "SAMPLES" };
        if (!DecodingPlan.TryCompile(Definition, settings, fringe, out var plan, out var errors)) throw new InvalidOperationException(string.Join('\n', errors));
        _plan = plan!;
        _values = _plan.CreateValues();
        _rows = new(_plan, null);
        var output = new ArrayBufferWriter<byte>();
        var writer = new PacketWriter(output, crc16: true);
        var random = new Random(1);
        for (var i = 0; i < Packets; i++)
        {
            var data = new byte[8 + 12 + 512];
            random.NextBytes(data.AsSpan(20));
            data[19] = 100;
            writer.Write(200, i, data);
        }
        _bytes = output.WrittenSpan.ToArray();
        _framed = PacketFramer.Frame(_bytes, _plan.FramingRules);
    }

    /// <summary>Bytes of one operation.</summary>
    public int BytesPerOperation => _bytes.Length;

    /// <summary>Splitting and checking.</summary>
    [Benchmark]
    public int Framing() => PacketFramer.Frame(_bytes, _plan.FramingRules).Packets.Count;

    /// <summary>Decoding rows and labels.</summary>
    [Benchmark]
    public long Decoding()
    {
        long sum = 0;
        foreach (var packet in _framed.Packets)
        {
            if (!_plan.TryDecode(_bytes.AsSpan(packet.Offset, packet.Length), _values)) throw new InvalidOperationException(_values.Refusal!.Reason);
            if (!_rows.TryRead(_values, out var row, out var refusal)) throw new InvalidOperationException(refusal!.Reason);
            sum += row.Row + _values.Samples[0];
        }
        return sum;
    }
}
