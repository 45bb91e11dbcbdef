namespace Phasekeeper.Storage;

/// <summary>One hour of a channel: where its samples lie and what they come to.</summary>
/// <param name="Hour">The hour.</param>
/// <param name="Part">Part of the hour's blocks that holds them.</param>
/// <param name="Count">Samples.</param>
/// <param name="Finite">Samples with a finite value.</param>
/// <param name="Min">Smallest finite value; without meaning when there is none.</param>
/// <param name="Sum">Sum of the finite values.</param>
/// <param name="Max">Largest.</param>
internal readonly record struct HourEntry(long Hour, long Part, int Count, int Finite, double Min, double Sum, double Max);

/// <summary>
/// Hours of a channel and day: hour of the day (with a bit that says that smallest, sum and largest are whole numbers), part, count, count of values that are none, then the three as whole numbers
/// or as 64-bit reals.
/// </summary>
internal static class DayCodec
{
    public const int Hours = 24;
    private const byte WholeFlag = 0x20;
    private const double LargestWhole = 1L << 53;

    public static long DayOf(long hour) => hour >= 0 ? hour / Hours : -((-(hour + 1)) / Hours) - 1;

    public static byte[] Encode(IEnumerable<HourEntry> entries)
    {
        var writer = new ByteWriter();
        foreach (var e in entries)
        {
            var whole = e.Finite > 0 && IsWhole(e.Min) && IsWhole(e.Sum) && IsWhole(e.Max);
            writer.Byte((byte)((e.Hour - DayOf(e.Hour) * Hours) | (whole ? WholeFlag : 0L)));
            writer.Unsigned((ulong)e.Part);
            writer.Unsigned((ulong)e.Count);
            writer.Unsigned((ulong)(e.Count - e.Finite));
            if (e.Finite == 0) continue;
            if (whole)
            {
                writer.Signed((long)e.Min);
                writer.Signed((long)e.Sum);
                writer.Signed((long)e.Max);
                continue;
            }
            writer.Double(e.Min);
            writer.Double(e.Sum);
            writer.Double(e.Max);
        }
        return writer.ToArray();
    }

    public static void Decode(ReadOnlySpan<byte> blob, long day, List<HourEntry> into)
    {
        var reader = new ByteReader(blob);
        while (!reader.AtEnd)
        {
            var head = reader.Byte();
            var part = (long)reader.Unsigned();
            var count = checked((int)reader.Unsigned());
            var finite = count - checked((int)reader.Unsigned());
            var entry = new HourEntry(day * Hours + (head & ~WholeFlag), part, count, finite, double.NaN, double.NaN, double.NaN);
            if (finite > 0)
                entry = (head & WholeFlag) != 0
                    ? entry with { Min = reader.Signed(), Sum = reader.Signed(), Max = reader.Signed() }
                    : entry with { Min = reader.Double(), Sum = reader.Double(), Max = reader.Double() };
            into.Add(entry);
        }
    }

    // −0 is kept as a real number.
    private static bool IsWhole(double value) => Math.Abs(value) <= LargestWhole && Math.Truncate(value) == value && !(value == 0 && double.IsNegative(value));
}
