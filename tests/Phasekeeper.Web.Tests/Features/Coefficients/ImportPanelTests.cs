using System.Buffers.Binary;
using System.IO.Compression;
using Phasekeeper.Web.Features.Coefficients;

namespace Phasekeeper.Web.Tests.Features.Coefficients;

/// <summary>Files of a set as they are brought by hand.</summary>
public sealed class ImportPanelTests
{
    [Theory]
    [InlineData("""{"schema":"a","schema":"b"}""", "repeated key")]
    [InlineData("""{"schema":""", "line 1")]
    public void A_file_that_is_no_json_is_told(string text, string because) =>
        Assert.Contains(because, Assert.Throws<InvalidDataException>(() => ImportPanel.Body(new Dictionary<string, string> { ["coefficients.json"] = text }, null)).Message, StringComparison.Ordinal);

    [Fact]
    public void One_json_file_is_expected() =>
        Assert.Contains("Found 2", Assert.Throws<InvalidDataException>(() => ImportPanel.Body(new Dictionary<string, string> { ["a.json"] = "{}", ["b.json"] = "{}" }, null)).Message, StringComparison.Ordinal);

    [Fact]
    public void A_zip_that_says_it_is_small_is_not_unpacked_without_end()
    {
        using var stream = new MemoryStream();
        using (var zip = new ZipArchive(stream, ZipArchiveMode.Create, leaveOpen: true))
        using (var entry = zip.CreateEntry("flat.csv", CompressionLevel.Fastest).Open())
            for (var i = 0; i < 64; i++) entry.Write(new byte[1 << 20]);
        var bytes = stream.ToArray();
        var files = new Dictionary<string, string>();
        Assert.Contains("at most", Assert.Throws<InvalidDataException>(() => ImportPanel.Add(files, "a.zip", bytes)).Message, StringComparison.Ordinal);
        // The size unpacked stands in the central directory (APPNOTE.TXT 4.3.12): signature PK\1\2, at offset 24.
        var directory = bytes.AsSpan().LastIndexOf("PK\u0001\u0002"u8);
        BinaryPrimitives.WriteUInt32LittleEndian(bytes.AsSpan(directory + 24), 10);
        // The library cuts what is more than was said, or refuses it: either way no more than that comes out.
        try
        {
            ImportPanel.Add(files, "a.zip", bytes);
            Assert.True(files["flat.csv"].Length <= 1 << 20);
        }
        catch (InvalidDataException)
        {
            Assert.Empty(files);
        }
    }
}
