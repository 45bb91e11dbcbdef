using System.Buffers.Binary;
using System.Text;

namespace Phasekeeper.Pipeline.Exports.NetCdf;

/// <summary>Values of one of the six types of the classic format.</summary>
public sealed class NetCdfValues
{
    private readonly Action<int, Span<byte>> write;

    private NetCdfValues(int type, int size, int count, Action<int, Span<byte>> write) => (Type, Size, Count, this.write) = (type, size, count, write);

    /// <summary>nc_type of the format: 1 byte, 2 char, 3 short, 4 int, 5 float, 6 double.</summary>
    public int Type { get; }
    /// <summary>Bytes a value.</summary>
    public int Size { get; }
    /// <summary>Number of values.</summary>
    public int Count { get; }

    /// <summary>Signed bytes.</summary>
    public static NetCdfValues Of(params sbyte[] values) => new(1, 1, values.Length, (i, to) => to[0] = (byte)values[i]);
    /// <summary>32-bit integers.</summary>
    public static NetCdfValues Of(params int[] values) => new(4, 4, values.Length, (i, to) => BinaryPrimitives.WriteInt32BigEndian(to, values[i]));
    /// <summary>Floats.</summary>
    public static NetCdfValues Of(params float[] values) => new(5, 4, values.Length, (i, to) => BinaryPrimitives.WriteSingleBigEndian(to, values[i]));
    /// <summary>Doubles.</summary>
    public static NetCdfValues Of(params double[] values) => new(6, 8, values.Length, (i, to) => BinaryPrimitives.WriteDoubleBigEndian(to, values[i]));

    /// <summary>Texts of equal length, one after the other, filled up with NUL; <paramref name="length"/> in bytes of UTF-8.</summary>
    /// <exception cref="ArgumentException">A text is longer.</exception>
    public static NetCdfValues Texts(IReadOnlyList<string> texts, int length)
    {
        var bytes = new byte[texts.Count * length];
        for (var i = 0; i < texts.Count; i++)
        {
            var text = Encoding.UTF8.GetBytes(texts[i]);
            if (text.Length > length) throw new ArgumentException($"The text '{texts[i]}' takes {text.Length} bytes; expected at most {length}.", nameof(texts));
            text.CopyTo(bytes, i * length);
        }
        return new(2, 1, bytes.Length, (i, to) => to[0] = bytes[i]);
    }

    /// <summary>Writes the values of [from, from + count) into <paramref name="to"/>, big-endian.</summary>
    internal void Write(int from, int count, Span<byte> to)
    {
        for (var i = 0; i < count; i++) write(from + i, to.Slice(i * Size, Size));
    }
}
