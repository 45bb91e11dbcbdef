using System.Buffers;
using System.Buffers.Binary;
using Microsoft.Extensions.Time.Testing;
using Phasekeeper.Core.Profile;
using Phasekeeper.Core.Time;
using Phasekeeper.Packets.Ccsds;
using Phasekeeper.Packets.Decoding;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Pipeline.Intake;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Tests.Intake;

/// <summary>A small mission (one 16-bit value and a 4-byte value, CDS time, CRC-16), its packets, and intake into a folder of its own.</summary>
internal sealed class IntakeFixture : IDisposable
{
    public static readonly Instant Start = Instant.FromUtc(2031, 3, 1, 0, 30, 0);
    public static readonly DecodingPlan Plan = Compile();

    private const string Xtce =
        """
        <SpaceSystem name="Small">
          <TelemetryMetaData>
            <ParameterTypeSet>
              <IntegerParameterType name="u1" signed="false"><IntegerDataEncoding sizeInBits="1" encoding="unsigned"/></IntegerParameterType>
              <IntegerParameterType name="u2" signed="false"><IntegerDataEncoding sizeInBits="2" encoding="unsigned"/></IntegerParameterType>
              <IntegerParameterType name="u3" signed="false"><IntegerDataEncoding sizeInBits="3" encoding="unsigned"/></IntegerParameterType>
              <IntegerParameterType name="u11" signed="false"><IntegerDataEncoding sizeInBits="11" encoding="unsigned"/></IntegerParameterType>
              <IntegerParameterType name="u14" signed="false"><IntegerDataEncoding sizeInBits="14" encoding="unsigned"/></IntegerParameterType>
              <IntegerParameterType name="u16" signed="false"><IntegerDataEncoding sizeInBits="16" encoding="unsigned"/></IntegerParameterType>
              <IntegerParameterType name="u32" signed="false"><IntegerDataEncoding sizeInBits="32" encoding="unsigned"/></IntegerParameterType>
            </ParameterTypeSet>
            <ParameterSet>
              <Parameter name="VERSION" parameterTypeRef="u3"/><Parameter name="TYPE" parameterTypeRef="u1"/><Parameter name="SHF" parameterTypeRef="u1"/>
              <Parameter name="APID" parameterTypeRef="u11"/><Parameter name="SEQF" parameterTypeRef="u2"/><Parameter name="SEQC" parameterTypeRef="u14"/>
              <Parameter name="LEN" parameterTypeRef="u16"/><Parameter name="T_DAY" parameterTypeRef="u16"/><Parameter name="T_MS" parameterTypeRef="u32"/>
              <Parameter name="VALUE" parameterTypeRef="u16"/><Parameter name="LONG" parameterTypeRef="u32"/><Parameter name="CRC" parameterTypeRef="u16"/>
            </ParameterSet>
            <ContainerSet>
              <SequenceContainer name="Packet" abstract="true">
                <EntryList>
                  <ParameterRefEntry parameterRef="VERSION"/><ParameterRefEntry parameterRef="TYPE"/><ParameterRefEntry parameterRef="SHF"/>
                  <ParameterRefEntry parameterRef="APID"/><ParameterRefEntry parameterRef="SEQF"/><ParameterRefEntry parameterRef="SEQC"/>
                  <ParameterRefEntry parameterRef="LEN"/><ParameterRefEntry parameterRef="T_DAY"/><ParameterRefEntry parameterRef="T_MS"/>
                </EntryList>
              </SequenceContainer>
              <SequenceContainer name="Housekeeping">
                <EntryList>
                  <ParameterRefEntry parameterRef="VALUE"/><ParameterRefEntry parameterRef="LONG"/><ParameterRefEntry parameterRef="CRC"/>
                </EntryList>
                <BaseContainer containerRef="Packet"><RestrictionCriteria><Comparison parameterRef="APID" value="100"/></RestrictionCriteria></BaseContainer>
              </SequenceContainer>
            </ContainerSet>
          </TelemetryMetaData>
        </SpaceSystem>
        """;

    private readonly int windowBytes;

    public IntakeFixture(string? folder = null, int windowBytes = PacketWindows.DefaultBytes)
    {
        this.windowBytes = windowBytes;
        Folder = folder ?? NewFolder();
        Stores = Stores.Open(Folder);
        Changes = new ChangeFeed(Time);
        Intake = new IntakeService(Stores, new IntakeRules(Plan, Instant.FromUtc(2031, 1, 1), Instant.FromUtc(2032, 1, 1), null), Changes, Time, windowBytes) { LargestAuxiliary = LargestAuxiliary };
    }

    public const int LargestAuxiliary = 5000;

    public string Folder { get; }
    public FakeTimeProvider Time { get; } = new(new DateTimeOffset(2031, 3, 2, 8, 0, 0, TimeSpan.Zero));
    public Stores Stores { get; }
    public ChangeFeed Changes { get; }
    public IntakeService Intake { get; }
    public string Inbox => Path.Combine(Folder, "inbox");

    public static string NewFolder() => Path.Combine(Path.GetTempPath(), "pk-intake-" + Guid.NewGuid().ToString("N"));

    /// <summary>One packet at a number of seconds after <see cref="Start"/>.</summary>
    public static byte[] Packet(int sequence, double seconds, uint value = 0, int apid = 100) => Write(w => w.Write(apid, sequence, Data(seconds, value)));

    /// <summary>A packet in three parts.</summary>
    public static byte[][] Parts(int sequence, double seconds, uint value)
    {
        var data = Data(seconds, value);
        return
        [
            Write(w => w.Write(100, sequence, data.AsSpan(0, 8), SequenceFlags.First)),
            Write(w => w.Write(100, sequence + 1, data.AsSpan(8, 2), SequenceFlags.Continuation, secondaryHeader: false)),
            Write(w => w.Write(100, sequence + 2, data.AsSpan(10), SequenceFlags.Last, secondaryHeader: false)),
        ];
    }

    /// <summary>Packets one a 10 s, as one file.</summary>
    public static byte[][] Packets(int count, int first = 0) => [.. Enumerable.Range(first, count).Select(i => Packet(i, i * 10, (uint)i * 77))];

    public static byte[] Join(IEnumerable<byte[]> packets) => [.. packets.SelectMany(p => p)];

    /// <summary>Everything that must not depend on how the packets came.</summary>
    public string Describe()
    {
        var used = Stores.Archive.ReadPackets(Instant.MinValue, Instant.MaxValue).Select(p => $"{p.Place} {Convert.ToHexString(p.Bytes.Span)}");
        var bad = Stores.Quarantine.List(Instant.MinValue, Instant.MaxValue, 100000).Items
            .Select(q => $"{q.Kind} {q.Length} {q.State} {Convert.ToHexString(Stores.Quarantine.Bytes(q.Id))}").Order(StringComparer.Ordinal);
        return string.Join('\n', used.Concat(bad));
    }

    public void Dispose()
    {
        Intake.Dispose();
        Stores.Dispose();
        Directory.Delete(Folder, recursive: true);
    }

    private static byte[] Data(double seconds, uint value)
    {
        var data = new byte[12];
        var (day, nanoseconds) = Start.AddSeconds(seconds).ToUnixDay();
        BinaryPrimitives.WriteUInt16BigEndian(data, (ushort)(day + 4383)); // days from 1958-01-01 to 1970-01-01
        BinaryPrimitives.WriteUInt32BigEndian(data.AsSpan(2), (uint)(nanoseconds / 1_000_000));
        BinaryPrimitives.WriteUInt16BigEndian(data.AsSpan(6), (ushort)(value % 1000));
        BinaryPrimitives.WriteUInt32BigEndian(data.AsSpan(8), value);
        return data;
    }

    private static byte[] Write(Action<PacketWriter> write)
    {
        var output = new ArrayBufferWriter<byte>();
        write(new PacketWriter(output, crc16: true));
        return output.WrittenSpan.ToArray();
    }

    private static DecodingPlan Compile()
    {
        var settings = new PacketSettings
        {
            DefinitionFile = "small.xml",
            Crc16 = true,
            Time = new PacketTimeSettings
            {
                IsCds = true,
                Day = "T_DAY",
                Millisecond = "T_MS",
                Epoch = new DateTime(1958, 1, 1, 0, 0, 0, DateTimeKind.Unspecified),
                Scale = TimeScale.Utc,
            },
        };
        Assert.True(DecodingPlan.TryCompile(Xtce, settings, null, out var plan, out var errors), string.Join('\n', errors));
        return plan!;
    }
}
