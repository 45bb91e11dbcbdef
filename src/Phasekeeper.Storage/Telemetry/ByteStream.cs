namespace Phasekeeper.Storage;

/// <summary>
/// Writes integers so that small ones are short: zigzag (sign in the lowest bit) and seven bits a byte. Differences wrap around in
/// 64 bits, so every long survives.
/// </summary>
internal sealed class ByteWriter
{
    private byte[] bytes = new byte[256];
    private int length;

    public int Length => length;

    public ReadOnlySpan<byte> Written => bytes.AsSpan(0, length);

    public byte[] ToArray() => bytes[..length];

    public void Bytes(ReadOnlySpan<byte> values)
    {
        if (length + values.Length > bytes.Length) Array.Resize(ref bytes, Math.Max(2 * bytes.Length, length + values.Length));
        values.CopyTo(bytes.AsSpan(length));
        length += values.Length;
    }

    public void Double(double value)
    {
        Span<byte> eight = stackalloc byte[sizeof(double)];
        System.Buffers.Binary.BinaryPrimitives.WriteDoubleLittleEndian(eight, value);
        Bytes(eight);
    }

    public void Byte(byte value)
    {
        if (length == bytes.Length) Array.Resize(ref bytes, 2 * length);
        bytes[length++] = value;
    }

    public void Unsigned(ulong value)
    {
        for (; value >= 0x80; value >>= 7) Byte((byte)(value | 0x80));
        Byte((byte)value);
    }

    public void Signed(long value) => Unsigned((ulong)((value << 1) ^ (value >> 63)));

    public void Text(string value)
    {
        var utf8 = System.Text.Encoding.UTF8.GetBytes(value);
        Unsigned((ulong)utf8.Length);
        foreach (var b in utf8) Byte(b);
    }

    /// <summary>64-bit words, all lowest bytes first, then the next: like bytes stand together.</summary>
    public void Planes(ReadOnlySpan<ulong> words, int width = 8)
    {
        for (var plane = 0; plane < width; plane++)
            foreach (var word in words) Byte((byte)(word >> (8 * plane)));
    }
}

/// <summary>Reads what <see cref="ByteWriter"/> wrote.</summary>
internal ref struct ByteReader(ReadOnlySpan<byte> bytes)
{
    private readonly ReadOnlySpan<byte> bytes = bytes;
    private int at;

    public byte Byte() => at < bytes.Length ? bytes[at++] : throw Ended();

    public ulong Unsigned()
    {
        ulong value = 0;
        for (var shift = 0; shift < 64; shift += 7)
        {
            var b = Byte();
            value |= (ulong)(b & 0x7F) << shift;
            if (b < 0x80) return value;
        }
        throw StorageErrors.BlobDamaged("number", "more than ten bytes");
    }

    public long Signed()
    {
        var value = Unsigned();
        return (long)(value >> 1) ^ -(long)(value & 1);
    }

    /// <summary>Whether all has been read.</summary>
    public readonly bool AtEnd => at == bytes.Length;

    public double Double() => System.Buffers.Binary.BinaryPrimitives.ReadDoubleLittleEndian(Take(sizeof(double)));

    public ReadOnlySpan<byte> Take(int length)
    {
        if (length < 0 || length > bytes.Length - at) throw Ended();
        at += length;
        return bytes.Slice(at - length, length);
    }

    /// <summary>All that is left.</summary>
    public ReadOnlySpan<byte> Rest() => Take(bytes.Length - at);

    /// <summary>The count, when so many things of at least so many bytes can still follow; a damaged count claims no memory.</summary>
    public readonly int Fits(int count, int leastBytes) => count >= 0 && (long)count * leastBytes <= bytes.Length - at ? count : throw Ended();

    public string Text()
    {
        var length = checked((int)Unsigned());
        if (length > bytes.Length - at) throw Ended();
        var text = System.Text.Encoding.UTF8.GetString(bytes.Slice(at, length));
        at += length;
        return text;
    }

    public ulong[] Planes(int count, int width = 8)
    {
        if ((long)count * width > bytes.Length - at) throw Ended();
        var words = new ulong[count];
        for (var plane = 0; plane < width; plane++)
            for (var i = 0; i < count; i++) words[i] |= (ulong)bytes[at++] << (8 * plane);
        return words;
    }

    private static StorageException Ended() => StorageErrors.BlobDamaged("series", "it ends early");
}
