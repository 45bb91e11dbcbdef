using System.Buffers;
using System.Numerics;

namespace Phasekeeper.Storage;

/// <summary>
/// Whole numbers as what a simple prediction leaves, in few bits. Of five predictions the one that leaves least is taken (the first of equals); what is left is written as
/// Rice codes (quotient in ones, remainder in k bits; R. F. Rice 1979, JPL 79-22), or, where nearly all of it is zero, as runs of zeros and the numbers between them.
/// All arithmetic wraps around in 64 bits, so every long survives, and the same numbers always give the same bytes.
/// </summary>
internal static class NumberCoder
{
    // What a number is expected to be from those before it: their mean, the last, the line through two, the mean of four, the line fitted to four.
    // The fitted ones carry less of the noise on (2.5 σ² in place of 6 for a line).
    private enum Prediction : byte
    {
        Mean,
        Last,
        Line,
        MeanOfFour,
        LineOfFour,
    }

    private const int Predictions = 5;
    private const int RunsFlag = 8;
    // Chosen: where fewer than a quarter of what is left differs from zero, runs are tried too.
    private const int FewestZeros = 4;
    // A quotient of this many ones is followed by the whole number instead: a single wild value costs 96 bits.
    private const int LongestQuotient = 32;

    public static void Write(ByteWriter writer, ReadOnlySpan<long> numbers)
    {
        if (numbers.Length == 0) return;
        var n = numbers.Length;
        var rented = ArrayPool<ulong>.Shared.Rent(2 * n);
        try
        {
            var best = rented.AsSpan(0, n);
            var left = rented.AsSpan(n, n);
            var chosen = Prediction.Mean;
            var least = UInt128.MaxValue;
            var mean = MeanOf(numbers);
            for (var p = 0; p < Predictions && least > 0; p++)
            {
                var sum = Leave((Prediction)p, numbers, mean, left);
                if (sum >= least) continue;
                (least, chosen) = (sum, (Prediction)p);
                var kept = best;
                best = left;
                left = kept;
            }
            var from = chosen == Prediction.Mean ? 0 : 1;
            WriteLeft(writer, chosen, chosen == Prediction.Mean ? mean : numbers[0], best[from..], least);
        }
        finally
        {
            ArrayPool<ulong>.Shared.Return(rented);
        }
    }

    public static long[] Read(ref ByteReader reader, int count)
    {
        var numbers = new long[count];
        if (count == 0) return numbers;
        var head = reader.Byte();
        var prediction = (Prediction)(head & (RunsFlag - 1));
        if ((int)prediction >= Predictions || head >= 2 * RunsFlag) throw StorageErrors.BlobDamaged("series", $"prediction {head}");
        var start = reader.Signed();
        var from = prediction == Prediction.Mean ? 0 : 1;
        if ((head & RunsFlag) != 0) ReadRuns(ref reader, numbers.AsSpan(from));
        else ReadRice(ref reader, numbers.AsSpan(from));
        Restore(prediction, numbers, start);
        return numbers;
    }

    private static long MeanOf(ReadOnlySpan<long> numbers)
    {
        double sum = 0;
        foreach (var number in numbers) sum += number;
        var mean = Math.Round(sum / numbers.Length);
        return Math.Abs(mean) < long.MaxValue / 2 ? (long)mean : numbers[0];
    }

    // Zigzag of what a prediction leaves, and its sum.
    private static UInt128 Leave(Prediction prediction, ReadOnlySpan<long> numbers, long mean, Span<ulong> left)
    {
        UInt128 sum = 0;
        unchecked
        {
            long a = numbers[0], b = a, c = a, d = a;
            for (var i = 0; i < numbers.Length; i++)
            {
                var expected = prediction switch
                {
                    Prediction.Mean => mean,
                    Prediction.Last => a,
                    Prediction.Line => a + (a - b),
                    Prediction.MeanOfFour => (a + b + c + d) >> 2,
                    _ => a + ((b - d) >> 1),
                };
                var number = numbers[i];
                var difference = number - expected;
                var folded = (ulong)((difference << 1) ^ (difference >> 63));
                left[i] = folded;
                sum += folded;
                (d, c, b, a) = (c, b, a, number);
            }
        }
        return sum;
    }

    private static void Restore(Prediction prediction, Span<long> numbers, long start)
    {
        unchecked
        {
            if (prediction == Prediction.Mean)
            {
                for (var i = 0; i < numbers.Length; i++) numbers[i] += start;
                return;
            }
            long a = start, b = a, c = a, d = a;
            numbers[0] = start;
            for (var i = 1; i < numbers.Length; i++)
            {
                // The first number stands in for those before it; it was itself the last for the second.
                (d, c, b) = i == 1 ? (a, a, a) : (d, c, b);
                var number = numbers[i] + prediction switch
                {
                    Prediction.Last => a,
                    Prediction.Line => a + (a - b),
                    Prediction.MeanOfFour => (a + b + c + d) >> 2,
                    _ => a + ((b - d) >> 1),
                };
                numbers[i] = number;
                (d, c, b, a) = (c, b, a, number);
            }
        }
    }

    private static void WriteLeft(ByteWriter writer, Prediction prediction, long start, ReadOnlySpan<ulong> left, UInt128 sum)
    {
        var (k, bits) = BestRice(left, sum);
        var others = 0;
        foreach (var number in left) if (number != 0) others++;
        if (others * FewestZeros < left.Length)
        {
            var runs = new ByteWriter();
            WriteRuns(runs, left);
            if (runs.Length * 8L <= bits + 8)
            {
                writer.Byte((byte)((int)prediction | RunsFlag));
                writer.Signed(start);
                writer.Bytes(runs.Written);
                return;
            }
        }
        writer.Byte((byte)prediction);
        writer.Signed(start);
        writer.Byte((byte)k);
        WriteRice(writer, left, k);
    }

    private static (int K, long Bits) BestRice(ReadOnlySpan<ulong> left, UInt128 sum)
    {
        if (left.Length == 0) return (0, 0);
        var mean = sum / (UInt128)left.Length;
        var middle = mean == 0 ? 0 : (int)UInt128.Log2(mean);
        var best = (K: 0, Bits: long.MaxValue);
        for (var k = Math.Max(0, middle - 1); k <= Math.Min(63, middle + 1); k++)
        {
            long bits = 0;
            foreach (var number in left)
            {
                var quotient = number >> k;
                bits += quotient < LongestQuotient ? (long)quotient + 1 + k : LongestQuotient + 64;
            }
            if (bits < best.Bits) best = (k, bits);
        }
        return best;
    }

    private static void WriteRice(ByteWriter writer, ReadOnlySpan<ulong> left, int k)
    {
        ulong pending = 0;
        var filled = 0;
        var mask = (1UL << k) - 1;

        foreach (var number in left)
        {
            var quotient = number >> k;
            if (quotient < LongestQuotient)
            {
                Put((1UL << (int)quotient) - 1, (int)quotient + 1);
                PutLong(number & mask, k);
            }
            else
            {
                Put(uint.MaxValue, LongestQuotient);
                PutLong(number, 64);
            }
        }
        for (; filled > 0; filled -= 8, pending >>= 8) writer.Byte((byte)pending);

        // At most 33 bits at a time, above at most 7 that wait.
        void Put(ulong bits, int count)
        {
            pending |= bits << filled;
            filled += count;
            for (; filled >= 8; filled -= 8, pending >>= 8) writer.Byte((byte)pending);
        }

        void PutLong(ulong bits, int count)
        {
            for (; count > 32; count -= 32, bits >>= 32) Put(bits & uint.MaxValue, 32);
            Put(bits, count);
        }
    }

    private static void ReadRice(ref ByteReader reader, Span<long> left)
    {
        var k = reader.Byte();
        if (k > 63) throw StorageErrors.BlobDamaged("series", $"a Rice parameter of {k}; expected 0 to 63");
        var bytes = reader.Rest();
        ulong window = 0;
        int filled = 0, at = 0;
        for (var i = 0; i < left.Length; i++)
        {
            Fill(bytes);
            var quotient = BitOperations.TrailingZeroCount(~window);
            ulong number;
            if (quotient < LongestQuotient)
            {
                Take(quotient + 1);
                number = ((ulong)quotient << k) | Bits(bytes, k);
            }
            else
            {
                Take(LongestQuotient);
                number = Bits(bytes, 64);
            }
            left[i] = Unfold(number);
        }
        if (filled < 0) throw StorageErrors.BlobDamaged("series", "it ends early");

        // Bits behind the end read as zeros and are counted below none.
        void Fill(ReadOnlySpan<byte> from)
        {
            while (filled <= 56 && at < from.Length)
            {
                window |= (ulong)from[at++] << filled;
                filled += 8;
            }
        }

        void Take(int count)
        {
            window >>= count;
            filled -= count;
            if (filled < 0) throw StorageErrors.BlobDamaged("series", "it ends early");
        }

        ulong Bits(ReadOnlySpan<byte> from, int count)
        {
            ulong result = 0;
            for (var shift = 0; count > 0;)
            {
                Fill(from);
                var part = Math.Min(count, 32);
                result |= (window & ((1UL << part) - 1)) << shift;
                Take(part);
                shift += part;
                count -= part;
            }
            return result;
        }
    }

    private static void WriteRuns(ByteWriter writer, ReadOnlySpan<ulong> left)
    {
        var zeros = 0;
        foreach (var number in left)
        {
            if (number == 0)
            {
                zeros++;
                continue;
            }
            writer.Unsigned((ulong)zeros);
            writer.Unsigned(number);
            zeros = 0;
        }
        if (zeros > 0) writer.Unsigned((ulong)zeros);
    }

    private static void ReadRuns(ref ByteReader reader, Span<long> left)
    {
        for (var i = 0; i < left.Length;)
        {
            var zeros = reader.Unsigned();
            if (zeros > (ulong)(left.Length - i)) throw StorageErrors.BlobDamaged("series", $"a run of {zeros} zeros; expected at most {left.Length - i}");
            i += (int)zeros;
            if (i < left.Length) left[i++] = Unfold(reader.Unsigned());
        }
    }

    private static long Unfold(ulong folded) => (long)(folded >> 1) ^ -(long)(folded & 1);
}
