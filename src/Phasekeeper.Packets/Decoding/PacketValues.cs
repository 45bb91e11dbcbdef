using Phasekeeper.Packets.Ccsds;
using Phasekeeper.Packets.Xtce;

namespace Phasekeeper.Packets.Decoding;

/// <summary>
/// The values of one packet, in a buffer that is used again for the next one (not by two threads at once). A value's place is its
/// parameter's slot (<see cref="ParameterInfo.Slot"/>, <see cref="ChannelInfo.Slot"/>). Made by <see cref="DecodingPlan.CreateValues"/>.
/// </summary>
public sealed class PacketValues
{
    internal const byte Present = 1, CalibrationTried = 2, Calibrated = 4;

    private readonly DecodingPlan _plan;
    internal readonly byte[] State;
    internal readonly long[] RawBits;
    internal readonly double[] Numbers;
    internal readonly int[] LabelIndexes;
    internal readonly int[] Extents;
    internal readonly AlarmLevel[] Alarms;
    internal readonly int[] Touched;
    internal int TouchedCount;
    internal ushort[] SampleBuffer;

    internal PacketValues(DecodingPlan plan, int slots, int samples)
    {
        _plan = plan;
        State = new byte[slots];
        RawBits = new long[slots];
        Numbers = new double[slots];
        LabelIndexes = new int[slots];
        Extents = new int[slots];
        Alarms = new AlarmLevel[slots];
        Touched = new int[slots];
        SampleBuffer = new ushort[samples];
    }

    /// <summary>Why the last packet was refused; null when it was decoded.</summary>
    public Refusal? Refusal { get; internal set; }

    /// <summary>The container that the packet matched, the most specific one; null after a refusal.</summary>
    public ContainerInfo? Container { get; internal set; }

    /// <summary>Slots that the packet filled, in the order of the packet.</summary>
    public ReadOnlySpan<int> PresentSlots => Touched.AsSpan(0, TouchedCount);

    /// <summary>The counts of a fringe row; empty in other packets.</summary>
    public ReadOnlySpan<ushort> Samples => SampleBuffer.AsSpan(0, SampleCount);

    /// <summary>Number of samples.</summary>
    public int SampleCount { get; internal set; }

    /// <summary>True when the packet held this parameter.</summary>
    public bool IsPresent(int slot) => (State[slot] & Present) != 0;

    /// <summary>True when the parameter has a calibrated value (false where its calibrator gives none for this raw value).</summary>
    public bool IsValid(int slot) => (State[slot] & Calibrated) != 0;

    /// <summary>Raw whole number; of a 64-bit unsigned one, its bits. Not for parameters encoded as real numbers.</summary>
    public long Raw(int slot) => RawBits[slot];

    /// <summary>Raw value as a real number.</summary>
    public double RawNumber(int slot) => _plan.RawNumber(slot, RawBits[slot]);

    /// <summary>Calibrated value in the parameter's unit; the raw value where there is no calibrator. NaN when not valid.</summary>
    public double Value(int slot) => IsValid(slot) ? Numbers[slot] : double.NaN;

    /// <summary>Index into the labels of the parameter; −1 when it has none or its raw value is not known to the definition.</summary>
    public int LabelIndex(int slot) => LabelIndexes[slot];

    /// <summary>The label; null when there is none.</summary>
    public string? Label(int slot) => LabelIndexes[slot] is >= 0 and var i ? _plan.LabelsOf(slot)![i] : null;

    /// <summary>Alarm level of the calibrated value by the definition's own ranges.</summary>
    public AlarmLevel Alarm(int slot) => Alarms[slot];

    /// <summary>Bytes of a binary or text parameter, copied when they start within a byte.</summary>
    public byte[] GetBytes(int slot, ReadOnlySpan<byte> packet)
    {
        var bit = (int)RawBits[slot];
        var bytes = new byte[(Extents[slot] + 7) / 8];
        for (var i = 0; i < bytes.Length; i++)
        {
            var take = Math.Min(8, Extents[slot] - 8 * i);
            bytes[i] = (byte)(BitReader.Read(packet, bit + 8 * i, take) << (8 - take));
        }
        return bytes;
    }

    /// <summary>Text of a text parameter, without its terminator and trailing zero bytes.</summary>
    public string GetText(int slot, ReadOnlySpan<byte> packet) => _plan.TextOf(slot).GetString(GetBytes(slot, packet)).TrimEnd('\0');

    internal void Reset()
    {
        for (var i = 0; i < TouchedCount; i++) State[Touched[i]] = 0;
        TouchedCount = 0;
        SampleCount = 0;
        Refusal = null;
        Container = null;
    }

    internal void Put(int slot, long raw)
    {
        if (State[slot] == 0) Touched[TouchedCount++] = slot;
        State[slot] = Present;
        RawBits[slot] = raw;
    }

    // Back to what was known before a container was tried.
    internal void Forget(int count)
    {
        for (var i = count; i < TouchedCount; i++) State[Touched[i]] = 0;
        TouchedCount = count;
        SampleCount = 0;
    }
}
