using System.Diagnostics;
using System.Runtime.CompilerServices;
using System.Text.Json;

namespace Phasekeeper.Benchmarks;

/// <summary>Runs a script of tests/benchmarks/peers with Debian's Python; it prints one JSON object.</summary>
internal static class Peer
{
    private const string Python = "/usr/bin/python3";

    /// <summary>What the script printed; null, with a line that tells why, where it cannot run on this machine.</summary>
    public static async Task<JsonElement?> RunAsync(TextWriter output, string script, params string[] arguments)
    {
        if (!File.Exists(Python))
        {
            await output.WriteLineAsync($"{script} was not run: there is no {Python}. Install python3-numpy, python3-scipy and libopenblas0-pthread (Debian).");
            return null;
        }
        var start = new ProcessStartInfo(Python, [Path.Combine(Folder(), script), .. arguments]) { RedirectStandardOutput = true, RedirectStandardError = true };
        start.Environment["OPENBLAS_NUM_THREADS"] = "1";
        using var process = Process.Start(start)!;
        var errors = process.StandardError.ReadToEndAsync();
        var text = await process.StandardOutput.ReadToEndAsync();
        await process.WaitForExitAsync();
        if (process.ExitCode == 0) return JsonDocument.Parse(text).RootElement;
        var told = (await errors).Trim();
        if (!told.Contains("ModuleNotFoundError", StringComparison.Ordinal)) throw new InvalidOperationException($"{script} ended with {process.ExitCode}: {told}");
        await output.WriteLineAsync($"{script} was not run: {told.Split('\n')[^1]}. Install python3-numpy, python3-scipy and libopenblas0-pthread (Debian).");
        return null;
    }

    /// <summary>Where the scripts are.</summary>
    public static string Folder([CallerFilePath] string here = "") => Path.Combine(Path.GetDirectoryName(here)!, "..", "peers");
}
