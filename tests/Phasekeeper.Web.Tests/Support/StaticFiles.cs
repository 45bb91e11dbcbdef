using System.Runtime.CompilerServices;

namespace Phasekeeper.Web.Tests.Support;

/// <summary>The files that browsers get, as they stand in the source tree.</summary>
internal static class StaticFiles
{
    /// <summary>Text of a file below wwwroot.</summary>
    public static string Read(string path, [CallerFilePath] string here = "") =>
        File.ReadAllText(Path.Combine(Path.GetDirectoryName(here)!, FromTests(here), "src", "Phasekeeper.Web", "wwwroot", path));

    // The caller stands somewhere below tests/.
    private static string FromTests(string here)
    {
        var up = "..";
        for (var folder = new DirectoryInfo(Path.GetDirectoryName(here)!); folder.Name != "tests"; folder = folder.Parent!) up = Path.Combine(up, "..");
        return up;
    }
}
