using System.Buffers;
using System.Buffers.Binary;
using System.Text;

namespace Phasekeeper.Pipeline.Exports.NetCdf;

/// <summary>
/// Writes the 64-bit offset variant (CDF-2) of the NetCDF classic format, fixed-size variables only. The grammar is that of "The NetCDF Classic Format
/// Specification" (NetCDF User's Guide, appendix B; OGC 10-092r3): magic, number of records, dimensions, global attributes and variables, each list with its tag; then the
/// data of each variable, big-endian, padded to four bytes. The bytes depend on the file's contents alone.
/// </summary>
public static class ClassicNetCdf
{
    private const int DimensionTag = 0x0A, VariableTag = 0x0B, AttributeTag = 0x0C, CharType = 2;
    private const int ChunkValues = 8192;
    // Note on vsize in the specification: a fixed-size variable of CDF-2 takes less than 4 GiB.
    private const long LargestVariable = uint.MaxValue - 3L;

    /// <summary>Writes a file.</summary>
    /// <exception cref="ArgumentException">The contents do not make a file: a name, a length or a dimension is wrong; the text says which.</exception>
    public static void Write(NetCdfFile file, Stream to)
    {
        ArgumentNullException.ThrowIfNull(file);
        ArgumentNullException.ThrowIfNull(to);
        Check(file);
        // The header's length does not depend on the offsets in it: it is measured with zeros first.
        var begin = (long)Header(file, new long[file.Variables.Count]).Length;
        var offsets = new long[file.Variables.Count];
        for (var v = 0; v < offsets.Length; v++)
        {
            offsets[v] = begin;
            begin += Padded(Bytes(file.Variables[v]));
        }
        to.Write(Header(file, offsets));
        foreach (var variable in file.Variables) Data(variable.Values, to);
    }

    private static byte[] Header(NetCdfFile file, long[] offsets)
    {
        var header = new HeaderWriter();
        header.Raw("CDF\u0002"u8);
        header.Int(0);
        header.List(DimensionTag, file.Dimensions, d =>
        {
            header.Name(d.Name);
            header.Int(d.Length);
        });
        Attributes(header, file.Attributes);
        var ids = file.Dimensions.Select((d, i) => (d.Name, i)).ToDictionary(d => d.Name, d => d.i, StringComparer.Ordinal);
        var at = 0;
        header.List(VariableTag, file.Variables, v =>
        {
            header.Name(v.Name);
            header.Int(v.Dimensions.Count);
            foreach (var name in v.Dimensions) header.Int(ids[name]);
            Attributes(header, v.Attributes);
            header.Int(v.Values.Type);
            header.Int(unchecked((int)(uint)Padded(Bytes(v))));
            header.Long(offsets[at++]);
        });
        return header.ToArray();
    }

    private static void Attributes(HeaderWriter header, IReadOnlyList<NetCdfAttribute> attributes) => header.List(AttributeTag, attributes, a =>
    {
        header.Name(a.Name);
        if (a.Text is { } text)
        {
            var bytes = Encoding.UTF8.GetBytes(text);
            header.Int(CharType);
            header.Int(bytes.Length);
            header.Raw(bytes);
        }
        else
        {
            var numbers = a.Numbers!;
            var bytes = new byte[numbers.Count * numbers.Size];
            numbers.Write(0, numbers.Count, bytes);
            header.Int(numbers.Type);
            header.Int(numbers.Count);
            header.Raw(bytes);
        }
        header.Pad();
    });

    private static void Data(NetCdfValues values, Stream to)
    {
        var chunk = new byte[Math.Min(values.Count, ChunkValues) * values.Size];
        for (var from = 0; from < values.Count; from += ChunkValues)
        {
            var count = Math.Min(ChunkValues, values.Count - from);
            values.Write(from, count, chunk);
            to.Write(chunk, 0, count * values.Size);
        }
        var length = (long)values.Count * values.Size;
        to.Write(new byte[Padded(length) - length]);
    }

    private static long Bytes(NetCdfVariable v) => (long)v.Values.Count * v.Values.Size;

    private static long Padded(long length) => (length + 3) & ~3L;

    private static void Check(NetCdfFile file)
    {
        Names("dimension", file.Dimensions.Select(d => d.Name));
        Names("variable", file.Variables.Select(v => v.Name));
        Names("global attribute", file.Attributes.Select(a => a.Name));
        var lengths = file.Dimensions.ToDictionary(d => d.Name, d => d.Length, StringComparer.Ordinal);
        if (file.Dimensions.FirstOrDefault(d => d.Length < 1) is { } empty)
            throw new ArgumentException($"The dimension '{empty.Name}' has the length {empty.Length}; expected at least 1 (a length of 0 marks the record dimension, which is not used).");
        foreach (var v in file.Variables)
        {
            Names($"attribute of {v.Name}", v.Attributes.Select(a => a.Name));
            if (v.Dimensions.FirstOrDefault(d => !lengths.ContainsKey(d)) is { } unknown) throw new ArgumentException($"The variable '{v.Name}' has the dimension '{unknown}', which the file has not.");
            var expected = v.Dimensions.Aggregate(1L, (product, d) => product * lengths[d]);
            if (v.Values.Count != expected) throw new ArgumentException($"The variable '{v.Name}' has {v.Values.Count} values; expected {expected}, the product of its dimensions ({string.Join(" × ", v.Dimensions)}).");
            if (Bytes(v) > LargestVariable) throw new ArgumentException($"The variable '{v.Name}' takes {Bytes(v)} bytes; the format holds at most {LargestVariable}.");
        }
    }

    private static void Names(string kind, IEnumerable<string> names)
    {
        var seen = new HashSet<string>(StringComparer.Ordinal);
        foreach (var name in names)
        {
            // Attributes may begin with an underscore (_FillValue).
            if (name.Length == 0 || !(char.IsAsciiLetter(name[0]) || name[0] == '_') || !name.All(c => char.IsAsciiLetterOrDigit(c) || c == '_'))
                throw new ArgumentException($"The {kind} '{name}' has a name of other characters; expected a letter, then letters, digits and underscores.");
            if (!seen.Add(name)) throw new ArgumentException($"The {kind} '{name}' is there twice.");
        }
    }

    private sealed class HeaderWriter
    {
        private readonly ArrayBufferWriter<byte> bytes = new();

        public byte[] ToArray() => bytes.WrittenSpan.ToArray();

        public void Raw(ReadOnlySpan<byte> raw) => bytes.Write(raw);

        public void Int(int value)
        {
            BinaryPrimitives.WriteInt32BigEndian(bytes.GetSpan(4), value);
            bytes.Advance(4);
        }

        public void Long(long value)
        {
            BinaryPrimitives.WriteInt64BigEndian(bytes.GetSpan(8), value);
            bytes.Advance(8);
        }

        public void Pad() => Raw(new byte[Padded(bytes.WrittenCount) - bytes.WrittenCount]);

        public void Name(string name)
        {
            Int(name.Length);
            Raw(Encoding.ASCII.GetBytes(name));
            Pad();
        }

        // An absent list is two zeros, whatever its tag.
        public void List<T>(int tag, IReadOnlyList<T> items, Action<T> each)
        {
            Int(items.Count == 0 ? 0 : tag);
            Int(items.Count);
            foreach (var item in items) each(item);
        }
    }
}
