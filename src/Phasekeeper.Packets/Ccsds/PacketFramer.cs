namespace Phasekeeper.Packets.Ccsds;

/// <summary>
/// Splits concatenated space packets and finds the way back after damage. Pure: the same bytes give the same result.
/// <para>
/// In step with the packets, a packet is taken where the header says it is and its CRC agrees. Otherwise every following byte is
/// tried until a packet proves itself, also inside the length that the damaged header claims: a flipped length never hides good
/// packets. With CRC-16 the proof is version 0, an APID and length of the definition, and the CRC
/// (chance: less than 1 in 10⁸ a byte for one APID). In step and without a checksum, a header of the definition that leads to
/// another such header is believed. Out of step and without a checksum the proof is the header alone when the definition allows a single length, and
/// otherwise also the header that must follow. What lies between is quarantined with the most likely reason.
/// </para>
/// <para>Time: linear in the input (a CRC of any stretch costs the same, see <see cref="CrcWindow"/>).</para>
/// </summary>
public static class PacketFramer
{
    /// <summary>Splits <paramref name="bytes"/>.</summary>
    public static FramingResult Frame(ReadOnlySpan<byte> bytes, FramingRules rules)
    {
        var run = new FramingRun(bytes, rules);
        var at = 0;
        while (at < bytes.Length)
        {
            if (run.TryTake(at, out var header))
            {
                run.Accept(at, header);
                at += header.PacketLength;
                continue;
            }
            var next = run.FindNext(at + 1);
            if (next < 0) next = bytes.Length;
            run.Explain(at, next);
            at = next;
        }
        return run.Result();
    }
}
