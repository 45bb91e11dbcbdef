namespace Phasekeeper.Packets.Ccsds;

/// <summary>What the framer knows about the mission's packets: the checksum, and the APIDs and lengths of its definition.</summary>
public sealed class FramingRules
{
    private readonly int[] _shortest = new int[2048];
    private readonly int[] _longest = new int[2048];

    /// <summary>Rules without a definition: any APID and any length may be a packet.</summary>
    public FramingRules(bool crc16)
    {
        Crc16 = crc16;
        Array.Fill(_shortest, PrimaryHeader.Length + 1);
        Array.Fill(_longest, PrimaryHeader.LongestPacket);
    }

    /// <summary>Rules with the shortest and longest packet, bytes, of every known APID.</summary>
    public FramingRules(bool crc16, IReadOnlyDictionary<int, (int Shortest, int Longest)> apids)
    {
        Crc16 = crc16;
        foreach (var (apid, (shortest, longest)) in apids)
        {
            _shortest[apid] = Math.Max(shortest, PrimaryHeader.Length + 1);
            _longest[apid] = Math.Min(longest, PrimaryHeader.LongestPacket);
        }
    }

    /// <summary>True: the last two bytes of every packet are its CRC-16.</summary>
    public bool Crc16 { get; }

    /// <summary>True when the definition has packets of this APID.</summary>
    public bool IsKnown(int apid) => _longest[apid] > 0;

    /// <summary>Shortest and longest packet of an APID, bytes; (0, 0) when it is not known.</summary>
    public (int Shortest, int Longest) LengthsOf(int apid) => (_shortest[apid], _longest[apid]);

    /// <summary>True when a header is one that the definition can explain: version 0, known APID, fitting length (any, for a segment).</summary>
    public bool IsPlausible(in PrimaryHeader header)
    {
        if (header.Version != 0) return false;
        if (header.IsIdle) return true;
        if (!IsKnown(header.Apid)) return false;
        return header.Flags != SequenceFlags.Unsegmented
            || (header.PacketLength >= _shortest[header.Apid] && header.PacketLength <= _longest[header.Apid]);
    }

    /// <summary>True when exactly one length fits the header, so that chance hardly produces it.</summary>
    public bool IsExact(in PrimaryHeader header) =>
        !header.IsIdle && header.Flags == SequenceFlags.Unsegmented && IsKnown(header.Apid) && _shortest[header.Apid] == _longest[header.Apid];
}
