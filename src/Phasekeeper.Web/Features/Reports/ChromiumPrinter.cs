using System.Diagnostics;
using System.Text.Encodings.Web;
using System.Text.Json.Nodes;
using Microsoft.Extensions.Options;
using Phasekeeper.Web.Hosting;

namespace Phasekeeper.Web.Features.Reports;

/// <summary>A page could not be made a PDF; the message says why and what to do.</summary>
public sealed class PrintException(string message) : Exception(message);

/// <summary>
/// Turns a page of this program into a PDF with Chromium. The browser is started for one print, without a shell, in a folder of its own that goes with it, reaches loopback only, and is ended when it
/// takes too long.
/// </summary>
public sealed class ChromiumPrinter(IOptions<PhasekeeperOptions> options)
{
    // Chosen: the slowest week on a busy machine took a third of it.
    private static readonly TimeSpan Patience = TimeSpan.FromMinutes(3);

    // Chosen: a week with its pictures has a few MiB; in base64 it grows by a third.
    private const int MostBytes = 64 * 1024 * 1024;

    // Margins at the sides, 14 mm as in print.css.
    private const double MarginIn = 0.55;

    // CSS Values and Units, 6.2: 1 in = 96 px.
    private const double CssPixelsPerInch = 96;

    private static readonly string[] Places = ["/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome", "/snap/bin/chromium", "/Applications/Chromium.app/Contents/MacOS/Chromium"];

    // ISO 216 A4 and ANSI A, inch.
    private double WidthIn => IsLetter ? 8.5 : 8.268;

    private bool IsLetter => string.Equals(options.Value.Reports.Paper, "Letter", StringComparison.OrdinalIgnoreCase);

    /// <summary>The browser; null where there is none.</summary>
    public string? Program => options.Value.Reports.Chromium is { Length: > 0 } set ? (File.Exists(set) ? set : null) : Places.FirstOrDefault(File.Exists);

    /// <summary>What to do where there is no browser.</summary>
    public const string HowToGetOne = "Install Chromium (Debian: apt-get install chromium), or name its path in Phasekeeper:Reports:Chromium. The page itself prints from any browser.";

    /// <summary>Prints a page.</summary>
    /// <param name="address">The page, on loopback.</param>
    /// <param name="token">Bearer token for this print.</param>
    /// <param name="title">Words at the head of each page.</param>
    /// <param name="cancel">Stops it.</param>
    /// <exception cref="PrintException">It could not be printed.</exception>
    public async Task<byte[]> PrintAsync(Uri address, string token, string title, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(address);
        if (!address.IsLoopback) throw new PrintException($"Found {address.Host}; reports are printed from this machine alone.");
        var program = Program ?? throw new PrintException($"No Chromium was found{(options.Value.Reports.Chromium is { Length: > 0 } set ? $" at {set}" : "")}. {HowToGetOne}");
        var folder = Directory.CreateTempSubdirectory("phasekeeper-print-").FullName;
        using var time = CancellationTokenSource.CreateLinkedTokenSource(cancel);
        time.CancelAfter(Patience);
        Process browser;
        try
        {
            browser = Start(program, folder);
        }
        catch
        {
            Remove(folder);
            throw;
        }
        try
        {
            return await PrintAsync(browser, folder, address, token, title, time.Token);
        }
        catch (OperationCanceledException) when (!cancel.IsCancellationRequested)
        {
            throw new PrintException($"Chromium did not finish within {Patience.TotalMinutes:0} minutes. The machine may be busy: try again later.");
        }
        catch (Exception e) when (e is DevToolsException or System.Net.WebSockets.WebSocketException or IOException or System.Text.Json.JsonException)
        {
            throw new PrintException($"Chromium could not print the page: {e.Message}");
        }
        finally
        {
            if (!browser.HasExited) browser.Kill(entireProcessTree: true);
            await browser.WaitForExitAsync(CancellationToken.None);
            browser.Dispose();
            Remove(folder);
        }
    }

    private static Process Start(string program, string folder)
    {
        var start = new ProcessStartInfo(program) { UseShellExecute = false, RedirectStandardError = true, RedirectStandardOutput = true, WorkingDirectory = folder };
        string[] arguments =
        [
            "--headless", "--disable-gpu", "--no-first-run", "--disable-extensions", "--disable-background-networking", "--disable-component-update", "--disable-sync", "--disable-quic",
            "--user-data-dir=" + folder, "--remote-debugging-port=0", "--host-resolver-rules=MAP * ~NOTFOUND , EXCLUDE 127.0.0.1 , EXCLUDE localhost", "--window-size=1000,1400",
            // Chromium refuses to start as root with its sandbox; what it opens are this program's own pages.
            .. Environment.IsPrivilegedProcess ? new[] { "--no-sandbox" } : [], "about:blank",
        ];
        foreach (var argument in arguments) start.ArgumentList.Add(argument);
        var browser = Started(start);
        // Nothing is read from it, but a full pipe would stop it.
        browser.OutputDataReceived += (_, _) => { };
        browser.ErrorDataReceived += (_, _) => { };
        browser.BeginOutputReadLine();
        browser.BeginErrorReadLine();
        return browser;
    }

    private static Process Started(ProcessStartInfo start)
    {
        try
        {
            return Process.Start(start) ?? throw new PrintException($"{start.FileName} could not be started. {HowToGetOne}");
        }
        catch (System.ComponentModel.Win32Exception e)
        {
            throw new PrintException($"{start.FileName} could not be started: {e.Message}. {HowToGetOne}");
        }
    }

    private async Task<byte[]> PrintAsync(Process browser, string folder, Uri address, string token, string title, CancellationToken cancel)
    {
        using var tools = await DevTools.ConnectAsync(await AddressAsync(browser, folder, cancel), MostBytes, cancel);
        var target = await tools.AskAsync("Target.createTarget", new() { ["url"] = "about:blank" }, cancel);
        tools.Session = (string?)(await tools.AskAsync("Target.attachToTarget", new() { ["targetId"] = (string?)target["targetId"], ["flatten"] = true }, cancel))["sessionId"];
        await tools.AskAsync("Network.enable", null, cancel);
        await tools.AskAsync("Network.setExtraHTTPHeaders", new() { ["headers"] = new JsonObject { ["Authorization"] = "Bearer " + token } }, cancel);
        await tools.AskAsync("Page.enable", null, cancel);
        // The page is laid out as wide as the paper from the start: plots are drawn once, and would be shrunk or cut if they had been drawn for a screen. Twice the points keep pictures sharp on paper.
        await tools.AskAsync("Emulation.setEmulatedMedia", new() { ["media"] = "print" }, cancel);
        await tools.AskAsync("Emulation.setDeviceMetricsOverride", new() { ["width"] = (int)((WidthIn - 2 * MarginIn) * CssPixelsPerInch), ["height"] = 1400, ["deviceScaleFactor"] = 2, ["mobile"] = false }, cancel);
        var opened = await tools.AskAsync("Page.navigate", new() { ["url"] = address.AbsoluteUri }, cancel);
        if ((string?)opened["errorText"] is { Length: > 0 } error) throw new PrintException($"{address} could not be opened: {error}.");
        while (true)
        {
            var state = await tools.AskAsync("Runtime.evaluate", new()
            {
                ["expression"] = "document.readyState !== 'complete' ? 'loading' : document.querySelector('[data-report]') ? (document.documentElement.dataset.report ?? 'waiting') : 'none: ' + document.title",
                ["returnByValue"] = true,
            }, cancel);
            var word = (string?)state["result"]?["value"] ?? "loading";
            if (word == "drawn") break;
            if (word.StartsWith("none", StringComparison.Ordinal)) throw new PrintException($"{address} shows no report ({word}).");
            if (word.StartsWith("failed", StringComparison.Ordinal)) throw new PrintException($"Not everything of the report could be drawn ({word}).");
            await Task.Delay(200, cancel);
        }
        const string style = "font:8px sans-serif;width:100%;margin:0 14mm;display:flex;justify-content:space-between;color:#444";
        var pdf = await tools.AskAsync("Page.printToPDF", new()
        {
            ["paperWidth"] = WidthIn,
            ["paperHeight"] = IsLetter ? 11 : 11.693,
            ["printBackground"] = true,
            ["displayHeaderFooter"] = true,
            ["marginTop"] = 0.7,
            ["marginBottom"] = 0.7,
            ["marginLeft"] = MarginIn,
            ["marginRight"] = MarginIn,
            ["headerTemplate"] = $"<div style='{style}'><span>{HtmlEncoder.Default.Encode(title)}</span><span>Phasekeeper</span></div>",
            ["footerTemplate"] = $"<div style='{style}'><span>It advises; the mission's flight rules come first.</span><span>page <span class=pageNumber></span> of <span class=totalPages></span></span></div>",
        }, cancel);
        return Convert.FromBase64String((string?)pdf["data"] ?? throw new PrintException("Chromium gave no PDF."));
    }

    // Chromium writes the port that it has found, and the path of its socket, into its folder.
    private static async Task<Uri> AddressAsync(Process browser, string folder, CancellationToken cancel)
    {
        var file = Path.Combine(folder, "DevToolsActivePort");
        while (true)
        {
            if (File.Exists(file) && await File.ReadAllLinesAsync(file, cancel) is [var port, { Length: > 0 } path, ..]) return new Uri($"ws://127.0.0.1:{port}{path}");
            if (browser.HasExited) throw new PrintException($"Chromium ended at once with code {browser.ExitCode}. {HowToGetOne}");
            await Task.Delay(100, cancel);
        }
    }

    // Its helpers may hold a file a moment longer; what is left then lies in the system's temporary folder.
    private static void Remove(string folder)
    {
        for (var attempt = 0; ; attempt++)
        {
            try
            {
                Directory.Delete(folder, recursive: true);
                return;
            }
            catch (Exception e) when (e is IOException or UnauthorizedAccessException && attempt < 5)
            {
                Thread.Sleep(100);
            }
            catch (Exception e) when (e is IOException or UnauthorizedAccessException)
            {
                return;
            }
        }
    }
}
