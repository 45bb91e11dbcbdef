using Microsoft.Playwright;

namespace Phasekeeper.EndToEnd.Tests.Journeys;

/// <summary>Debian's Chromium, driven by Playwright. Nothing is downloaded.</summary>
public sealed class Chromium : IAsyncLifetime
{
    private static readonly string[] Places = ["/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome"];
    private IPlaywright? playwright;

    /// <summary>How long a page may take on a busy machine, ms.</summary>
    public const float Patience = 60_000;

    /// <summary>The browser.</summary>
    public IBrowser Browser { get; private set; } = default!;

    /// <inheritdoc/>
    public async Task InitializeAsync()
    {
        var program = Places.FirstOrDefault(File.Exists)
            ?? throw new FileNotFoundException($"No Chromium found at {string.Join(", ", Places)}: install it (Debian: apt-get install chromium), or run tests/run, which does.");
        playwright = await Playwright.CreateAsync();
        Assertions.SetDefaultExpectTimeout(Patience);
        Browser = await playwright.Chromium.LaunchAsync(new BrowserTypeLaunchOptions
        {
            ExecutablePath = program,
            Args = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync"],
        });
    }

    /// <inheritdoc/>
    public async Task DisposeAsync()
    {
        if (Browser is not null) await Browser.CloseAsync();
        playwright?.Dispose();
    }
}
