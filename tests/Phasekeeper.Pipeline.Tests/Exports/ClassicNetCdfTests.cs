using Phasekeeper.Pipeline.Exports.NetCdf;

namespace Phasekeeper.Pipeline.Tests.Exports;

public sealed class ClassicNetCdfTests
{
    // Written out by hand after the grammar of "The NetCDF Classic Format Specification": magic, no records, one dimension, one global attribute, one variable, its data.
    [Fact]
    public void A_small_file_has_the_bytes_of_the_grammar()
    {
        var file = new NetCdfFile([new("dim", 5)], [new("title", "small")], [new("vx", ["dim"], NetCdfValues.Of((sbyte)3, (sbyte)1, (sbyte)4, (sbyte)1, (sbyte)-5), [])]);
        byte[] expected =
        [
            .. "CDF\u0002"u8, 0, 0, 0, 0,
            0, 0, 0, 0x0A, 0, 0, 0, 1, 0, 0, 0, 3, .. "dim\0"u8, 0, 0, 0, 5,
            0, 0, 0, 0x0C, 0, 0, 0, 1, 0, 0, 0, 5, .. "title\0\0\0"u8, 0, 0, 0, 2, 0, 0, 0, 5, .. "small\0\0\0"u8,
            0, 0, 0, 0x0B, 0, 0, 0, 1, 0, 0, 0, 2, .. "vx\0\0"u8, 0, 0, 0, 1, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 1, 0, 0, 0, 8, 0, 0, 0, 0, 0, 0, 0, 112,
            3, 1, 4, 1, 251, 0, 0, 0,
        ];
        Assert.Equal(expected, Bytes(file));
    }

    [Fact]
    public void Chunks_make_no_difference()
    {
        var values = Enumerable.Range(0, 20_001).Select(i => (float)i).ToArray();
        var bytes = Bytes(new([new("n", values.Length)], [], [new("v", ["n"], NetCdfValues.Of(values), [])]));
        for (var i = 0; i < values.Length; i++) Assert.Equal(values[i], System.Buffers.Binary.BinaryPrimitives.ReadSingleBigEndian(bytes.AsSpan(bytes.Length - 4 * (values.Length - i))));
    }

    [Theory]
    [InlineData("a b", 2, 2, "other characters")]
    [InlineData("v", 3, 2, "expected 3, the product")]
    [InlineData("v", 0, 0, "expected at least 1")]
    public void What_makes_no_file_is_refused_with_its_reason(string name, int length, int count, string reason)
    {
        var error = Assert.Throws<ArgumentException>(() => Bytes(new([new("n", length)], [], [new(name, ["n"], NetCdfValues.Of(new float[count]), [])])));
        Assert.Contains(reason, error.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void A_dimension_that_is_not_there_is_refused() =>
        Assert.Contains("'rows', which the file has not", Assert.Throws<ArgumentException>(() => Bytes(new([new("row", 1)], [], [new("v", ["rows"], NetCdfValues.Of(1.0), [])]))).Message, StringComparison.Ordinal);

    internal static byte[] Bytes(NetCdfFile file)
    {
        using var stream = new MemoryStream();
        ClassicNetCdf.Write(file, stream);
        return stream.ToArray();
    }
}
