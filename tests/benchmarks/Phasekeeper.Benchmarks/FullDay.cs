using System.Diagnostics;
using System.Globalization;

namespace Phasekeeper.Benchmarks;

/// <summary>
/// One day of a full-size mission (2 views × 2 lines × 36 rows × 320 samples, a scene a minute, lamps and darks as the demo has them, 100 channels at 1 Hz) from packets on disk to every product stored and
/// visible. The packets are made once, outside the measured time; each run is a process of its own, so that memory is honest; a straightforward script of the same job runs beside it.
/// </summary>
internal static class FullDay
{
    /// <summary>Prints the figures.</summary>
    /// <param name="output">Where they go.</param>
    /// <param name="kept">Folder to keep mission and packets in, or that a run before has kept; null = one that goes at the end.</param>
    /// <param name="runs">How often the day is taken in, each time by a new process into a new data folder.</param>
    /// <param name="withPeer">Also run the script of the same job.</param>
    public static async Task PrintAsync(TextWriter output, string? kept, int runs, bool withPeer)
    {
        var folder = kept is null ? Directory.CreateTempSubdirectory("pk-full-day-").FullName : Path.GetFullPath(kept);
        try
        {
            await MakeAsync(output, folder);
            for (var run = 0; run < runs; run++)
                await RunAsync(Environment.ProcessPath!, [.. OwnAssembly(), "full-day-run", folder]);
            if (withPeer) await RunAsync("/usr/bin/python3", [Path.Combine(Peer.Folder(), "full_day.py"), Path.Combine(folder, "profile"), Packets(folder)]);
        }
        finally
        {
            if (kept is null) Directory.Delete(folder, recursive: true);
        }
    }

    /// <summary>The day's packets.</summary>
    public static string Packets(string folder) => Path.Combine(folder, "day.pkt");

    private static async Task MakeAsync(TextWriter output, string folder)
    {
        if (!File.Exists(Packets(folder)))
        {
            // The demo's generator at full size is a program of its own; it is built beside this one.
            var generator = AppContext.BaseDirectory.Replace("Phasekeeper.Benchmarks", "Phasekeeper.FullSize", StringComparison.Ordinal);
            var profile = Path.Combine(folder, "profile");
            // The second day of the scenario, which has no injected event: 24 hours of exposures and telemetry.
            await RunAsync("dotnet", [Path.Combine(generator, "Phasekeeper.FullSize.dll"), "--out", profile, "--from", "24", "--days", "1"]);
            await using var day = File.Create(Packets(folder) + ".part");
            foreach (var file in Directory.GetFiles(Path.Combine(profile, "packets")).Order(StringComparer.Ordinal))
            {
                await using var part = File.OpenRead(file);
                await part.CopyToAsync(day);
            }
            Directory.Delete(Path.Combine(profile, "packets"), recursive: true);
            day.Close();
            File.Move(Packets(folder) + ".part", Packets(folder));
        }
        await output.WriteLineAsync(string.Create(CultureInfo.InvariantCulture, $"A full-size day: {new FileInfo(Packets(folder)).Length / 1e6:0.0} MB of packets in {Packets(folder)}"));
    }

    private static string[] OwnAssembly() => Path.GetFileNameWithoutExtension(Environment.ProcessPath) == "dotnet" ? [typeof(FullDay).Assembly.Location] : [];

    private static async Task RunAsync(string program, IReadOnlyList<string> arguments)
    {
        using var process = Process.Start(program, arguments);
        await process.WaitForExitAsync();
        if (process.ExitCode != 0) throw new InvalidOperationException($"{program} {string.Join(' ', arguments)} ended with {process.ExitCode}; expected 0. Its own message stands above.");
    }
}
