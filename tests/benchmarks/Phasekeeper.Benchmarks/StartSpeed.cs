using System.Diagnostics;
using System.Globalization;
using System.Net.Http.Headers;
using System.Net.Sockets;

namespace Phasekeeper.Benchmarks;

/// <summary>From the start of the program, a process of its own, to the page Today of a mission in a client's hands.</summary>
internal static class StartSpeed
{
    private const int Starts = 5;

    /// <summary>Prints the time of each start.</summary>
    /// <param name="output">Where they go.</param>
    /// <param name="folder">A mission, see <see cref="FiveYears"/>.</param>
    public static async Task PrintAsync(TextWriter output, string folder)
    {
        var seconds = new double[Starts];
        for (var i = 0; i < Starts; i++) seconds[i] = await StartAsync(folder);
        Array.Sort(seconds);
        await output.WriteLineAsync($"{folder}: start to first page {string.Join(", ", seconds.Select(s => s.ToString("0.00", CultureInfo.InvariantCulture)))} s");
    }

    private static async Task<double> StartAsync(string folder)
    {
        var token = Guid.NewGuid().ToString("N");
        var address = new Uri($"http://127.0.0.1:{FreePort()}/");
        // Built beside this program, as it is run from a checkout.
        var program = Path.Combine(AppContext.BaseDirectory.Replace(Path.Combine("tests", "benchmarks", "Phasekeeper.Benchmarks"), Path.Combine("src", "Phasekeeper.Web"), StringComparison.Ordinal), "Phasekeeper.Web.dll");
        var start = new ProcessStartInfo("dotnet", [program, "--urls", address.ToString(), "--Phasekeeper:Profile", Path.Combine(folder, "profile"), "--Phasekeeper:Data", Path.Combine(folder, "data"), "--Phasekeeper:Bootstrap:Token", token])
        {
            RedirectStandardOutput = true,
            WorkingDirectory = Path.GetDirectoryName(program),
        };
        using var client = new HttpClient { BaseAddress = address };
        client.DefaultRequestHeaders.Authorization = new AuthenticationHeaderValue("Bearer", token);
        var begin = Stopwatch.GetTimestamp();
        using var process = Process.Start(start)!;
        var log = process.StandardOutput.ReadToEndAsync();
        try
        {
            while (true)
            {
                if (process.HasExited) throw new InvalidOperationException($"The program ended with {process.ExitCode} before its first page: {await log}");
                try
                {
                    var page = await client.GetStringAsync(new Uri("/", UriKind.Relative));
                    if (page.Contains(">Today</h1>", StringComparison.Ordinal)) return Stopwatch.GetElapsedTime(begin).TotalSeconds;
                    if (Stopwatch.GetElapsedTime(begin).TotalSeconds > 120) throw new InvalidOperationException($"Found {page.Length} characters without the heading Today after two minutes; expected the page.");
                }
                catch (HttpRequestException)
                {
                    // It does not listen yet.
                }
                await Task.Delay(10);
            }
        }
        finally
        {
            if (!process.HasExited) process.Kill();
            await process.WaitForExitAsync();
        }
    }

    private static int FreePort()
    {
        using var listener = new TcpListener(System.Net.IPAddress.Loopback, 0);
        listener.Start();
        return ((System.Net.IPEndPoint)listener.LocalEndpoint).Port;
    }
}
