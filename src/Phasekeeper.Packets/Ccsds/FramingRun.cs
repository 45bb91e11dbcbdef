namespace Phasekeeper.Packets.Ccsds;

/// <summary>One pass of <see cref="PacketFramer"/> over one input.</summary>
internal ref struct FramingRun(ReadOnlySpan<byte> bytes, FramingRules rules)
{
    // Bytes searched with one CRC window.
    private const int SearchStep = 1 << 18;

    private readonly ReadOnlySpan<byte> _bytes = bytes;
    private readonly List<PacketRange> _packets = [];
    private readonly List<QuarantineItem> _quarantine = [];
    private CrcWindow? _window;
    private int _windowStart;
    private int _idlePackets;
    private int _idleBytes;

    // The first good start at or after _searchedFrom is _found (or none, when negative); valid while _searchedFrom ≥ 0.
    private int _searchedFrom = -1;
    private int _found = -1;

    /// <summary>In step at <paramref name="at"/>: true when a whole packet starts here.</summary>
    public bool TryTake(int at, out PrimaryHeader header)
    {
        if (!TryHeader(at, out header) || header.Version != 0 || at + header.PacketLength > _bytes.Length) return false;
        var packet = _bytes.Slice(at, header.PacketLength);
        if (rules.Crc16 && Crc16.Check(packet)) return true;
        if (rules.Crc16 && !header.IsIdle) return false;
        // From here on nothing but headers speaks for the packet: no checksum, or an idle packet without one.
        var known = header.IsIdle || rules.IsKnown(header.Apid);
        if (known && !rules.IsPlausible(header)) return false;
        var end = at + header.PacketLength;
        var follows = end == _bytes.Length || IsCredibleHeader(end);
        if (follows && known) return true;
        if (!known && !follows) return false;
        // Half a reason to believe the header: it must not swallow packets that prove themselves.
        var next = FindNext(at + 1);
        return next < 0 || next >= end;
    }

    /// <summary>Takes the packet.</summary>
    public void Accept(int at, in PrimaryHeader header)
    {
        if (header.IsIdle)
        {
            _idlePackets++;
            _idleBytes += header.PacketLength;
        }
        else _packets.Add(new(at, header.PacketLength, header));
    }

    /// <summary>First offset at or after <paramref name="from"/> where a packet proves itself; negative when there is none.</summary>
    public int FindNext(int from)
    {
        if (_searchedFrom >= 0 && from >= _searchedFrom && (_found < 0 || from <= _found)) return _found;
        _searchedFrom = from;
        _found = -1;
        for (var at = from; at <= _bytes.Length - PrimaryHeader.Length; at++)
            if (Proves(at))
            {
                _found = at;
                break;
            }
        return _found;
    }

    /// <summary>Quarantines the bytes from <paramref name="at"/> to <paramref name="next"/>, where the next packet (or the end) is.</summary>
    public void Explain(int at, int next)
    {
        // The stretch may hold several damaged packets: each is named on its own.
        while (at < next) at = ExplainOne(at, next);
    }

    private int ExplainOne(int at, int next)
    {
        if (!TryHeader(at, out var header))
            return Add(at, next, QuarantineKind.TruncatedTail,
                $"The input ends {next - at} byte(s) after the last packet; a packet header has {PrimaryHeader.Length}.");
        if (!rules.IsPlausible(header))
            return Add(at, next, QuarantineKind.Garbage, $"No packet starts here: found {Describe(header)}; expected {Expected(header)}.");
        var end = at + header.PacketLength;
        if (end > _bytes.Length && next == _bytes.Length)
            return Add(at, next, QuarantineKind.TruncatedTail,
                $"The input ends after {next - at} of the {header.PacketLength} bytes that the header announces ({Describe(header)}).");
        if (end > next)
            return Add(at, next, QuarantineKind.BadLength,
                $"The header announces {header.PacketLength} bytes, but the next packet starts after {next - at} ({Describe(header)}).");
        if (!rules.Crc16)
            return Add(at, end, QuarantineKind.BadLength,
                $"No packet follows after the {header.PacketLength} bytes that the header announces ({Describe(header)}).");
        var packet = _bytes.Slice(at, header.PacketLength);
        return Add(at, end, QuarantineKind.BadChecksum,
            $"CRC-16 is {Crc16.Compute(packet[..^Crc16.Length]):X4}, the packet's last two bytes say {packet[^2]:X2}{packet[^1]:X2} ({Describe(header)}).");
    }

    /// <summary>What was found.</summary>
    public readonly FramingResult Result() => new(_packets, _quarantine, _idlePackets, _idleBytes);

    private readonly bool TryHeader(int at, out PrimaryHeader header) => PrimaryHeader.TryRead(_bytes[at..], out header);

    private readonly int Add(int at, int end, QuarantineKind kind, string reason)
    {
        // Neighbouring garbage is one item.
        if (kind == QuarantineKind.Garbage && _quarantine.Count > 0 && _quarantine[^1] is { Kind: QuarantineKind.Garbage } last
            && last.Offset + last.Length == at)
            _quarantine[^1] = last with { Length = end - last.Offset };
        // Crumbs too short for any packet stay with the damage before them.
        else if (end - at <= PrimaryHeader.Length && (kind is QuarantineKind.Garbage or QuarantineKind.BadLength)
            && _quarantine.Count > 0 && _quarantine[^1] is var before && before.Offset + before.Length == at)
            _quarantine[^1] = before with { Length = end - before.Offset };
        else _quarantine.Add(new(at, end - at, kind, reason));
        return end;
    }

    // Out of step: true when the bytes from here are a packet beyond reasonable doubt.
    private bool Proves(int at)
    {
        // Version and APID first: nearly every wrong offset ends here.
        var apid = (_bytes[at] & 7) << 8 | _bytes[at + 1];
        if (_bytes[at] >> 5 != 0 || (apid != PrimaryHeader.IdleApid && !rules.IsKnown(apid))) return false;
        if (!TryHeader(at, out var header) || !rules.IsPlausible(header)) return false;
        var end = at + header.PacketLength;
        if (end > _bytes.Length) return false;
        if (rules.Crc16) return CrcAgrees(at, header.PacketLength);
        if (header.IsIdle) return false;
        return rules.IsExact(header) || end == _bytes.Length || IsCredibleHeader(end);
    }

    // A header that may follow a packet: of a known APID or idle, fitting the bytes that are left unless they end early.
    private readonly bool IsCredibleHeader(int at) =>
        TryHeader(at, out var header) ? rules.IsPlausible(header) : _bytes[at] >> 5 == 0;

    private bool CrcAgrees(int at, int length)
    {
        // Few candidates need a CRC; the window is made for the first and serves the rest of its stretch.
        if (_window is null || at < _windowStart || at + length > _window.End)
        {
            _windowStart = at;
            _window = new CrcWindow(_bytes, at, Math.Min(_bytes.Length, at + SearchStep + PrimaryHeader.LongestPacket));
        }
        return _window.Check(at, length);
    }

    private static string Describe(in PrimaryHeader header) =>
        $"version {header.Version}, APID {header.Apid}, sequence count {header.SequenceCount}, length {header.PacketLength}";

    private readonly string Expected(in PrimaryHeader header)
    {
        if (header.Version != 0) return "version 0";
        if (!rules.IsKnown(header.Apid)) return "an APID of the definition";
        var (shortest, longest) = rules.LengthsOf(header.Apid);
        return shortest == longest ? $"length {shortest}" : $"length {shortest} to {longest}";
    }
}
