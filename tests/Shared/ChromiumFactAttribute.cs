namespace Phasekeeper.Tests;

/// <summary>A test that needs Chromium on this machine; tests/run installs it. Without it the test is skipped, and says so.</summary>
[AttributeUsage(AttributeTargets.Method)]
public sealed class ChromiumFactAttribute : FactAttribute
{
    private static readonly string[] Places = ["/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome"];

    /// <summary>Skips where there is none.</summary>
    public ChromiumFactAttribute()
    {
        if (!Places.Any(File.Exists)) Skip = $"No Chromium was found at {string.Join(", ", Places)}: install it (Debian: apt-get install chromium), or run tests/run, which does.";
    }
}
