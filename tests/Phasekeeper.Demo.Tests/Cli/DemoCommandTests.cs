using Phasekeeper.Demo.Cli;

namespace Phasekeeper.Demo.Tests.Cli;

public sealed class DemoCommandTests : IDisposable
{
    private readonly string folder = Directory.CreateTempSubdirectory("demo-cli").FullName;

    public void Dispose() => Directory.Delete(folder, recursive: true);

    private static (int Code, string Out, string Error) Run(params string[] arguments)
    {
        using var output = new StringWriter();
        using var error = new StringWriter();
        return (DemoCommand.Run(arguments, output, error), output.ToString(), error.ToString());
    }

    [Fact]
    public void A_rehearsal_is_written_with_profile_packets_and_truth()
    {
        var (code, text, error) = Run("--out", folder, "--days", "0.02", "--from", "706.4", "--events", "heater-stuck", "--truth", "--seed", "5");
        Assert.Equal((0, ""), (code, error));
        Assert.Contains("seed 5", text, StringComparison.Ordinal);
        Assert.Contains("heater-stuck: 2031-05-09T10:24:00Z", text, StringComparison.Ordinal);
        foreach (var name in new[] { "profile.json", "packets.xtce.xml", "coefficients.json", "orbit.oem", "activities.ics", "flat-F-green.csv" })
            Assert.True(File.Exists(Path.Combine(folder, name)), name);
        var packets = Directory.GetFiles(Path.Combine(folder, "packets")).Order().SelectMany(f => PacketFile.Read(File.ReadAllBytes(f))).ToList();
        Assert.All(packets, p => Assert.True(p.ChecksumFits));
        var scenes = packets.Where(p => p.Apid == 210 && p.Kind == 0).Select(p => p.Exposure).Distinct().Count();
        Assert.Equal(1 + scenes * 64, File.ReadLines(Path.Combine(folder, "truth.csv")).Count());
        Assert.True(File.ReadLines(Path.Combine(folder, "truth-drift.csv")).Count() > 2);
    }

    [Fact]
    public void A_start_of_ones_own_moves_the_data()
    {
        Assert.Equal(0, Run("--out", folder, "--days", "0.01", "--start", "2033-02-01T12:00:00Z", "--events", "none").Code);
        var packets = Directory.GetFiles(Path.Combine(folder, "packets")).Order().SelectMany(f => PacketFile.Read(File.ReadAllBytes(f))).ToList();
        Assert.Equal("2033-02-01T09:00:00Z", packets[0].Time.ToString());
    }

    [Theory]
    [InlineData("Found no --out", new string[0])]
    [InlineData("Found the option '--dyas'", new[] { "--out", "x", "--dyas", "3" })]
    [InlineData("--days: found 'many'; expected a number", new[] { "--out", "x", "--days", "many" })]
    [InlineData("--days: found nothing behind it", new[] { "--out", "x", "--days" })]
    [InlineData("--seed: found '-1'", new[] { "--out", "x", "--seed", "-1" })]
    [InlineData("--start: found 'yesterday'; expected ISO 8601", new[] { "--out", "x", "--start", "yesterday" })]
    [InlineData("Found the event name 'flood'", new[] { "--out", "x", "--events", "flood" })]
    [InlineData("/no/such/file", new[] { "--out", "x", "--scenario", "/no/such/file" })]
    public void A_wrong_command_line_is_told_and_writes_nothing(string message, string[] arguments)
    {
        var (code, text, error) = Run(arguments);
        Assert.Equal(2, code);
        Assert.Equal("", text);
        Assert.Contains(message, error, StringComparison.Ordinal);
        Assert.False(Directory.Exists("x"));
    }

    [Fact]
    public void Help_and_the_list_of_events_need_no_folder()
    {
        Assert.Contains("--truth", Run("--help").Out, StringComparison.Ordinal);
        Assert.Contains("clock-jump: 2031-05-03T05:00:00Z to 2031-05-03T06:00:00Z.", Run("--list").Out, StringComparison.Ordinal);
    }
}
