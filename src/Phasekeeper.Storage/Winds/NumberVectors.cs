namespace Phasekeeper.Storage;

/// <summary>Vectors of numbers in a BLOB: byte planes of single precision where that holds every number exactly, else of double precision. Lossless.</summary>
internal static class NumberVectors
{
    private const byte Single = 4, Double = 8;

    public static void Numbers(this ByteWriter writer, double[] values)
    {
        var single = Array.TrueForAll(values, v => BitConverter.DoubleToUInt64Bits((float)v) == BitConverter.DoubleToUInt64Bits(v));
        writer.Byte(single ? Single : Double);
        writer.Planes(single ? Array.ConvertAll(values, v => (ulong)BitConverter.SingleToUInt32Bits((float)v)) : Array.ConvertAll(values, BitConverter.DoubleToUInt64Bits),
            single ? Single : Double);
    }

    public static double[] Numbers(this ref ByteReader reader, int count)
    {
        var width = reader.Byte();
        if (width is not (Single or Double)) throw StorageErrors.BlobDamaged("vector", $"numbers of {width} bytes; expected {Single} or {Double}");
        var words = reader.Planes(count, width);
        return width == Single ? Array.ConvertAll(words, w => (double)BitConverter.UInt32BitsToSingle((uint)w)) : Array.ConvertAll(words, BitConverter.UInt64BitsToDouble);
    }
}
