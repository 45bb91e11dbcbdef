namespace Phasekeeper.Tests;

/// <summary>
/// Finds and reads the check values under tests/reference. Their sources are listed in tests/reference/README.md;
/// a test names the source of what it checks beside the check.
/// </summary>
public static class ReferenceFiles
{
    /// <summary>Root of the checkout: the folder that holds Monitor.sln.</summary>
    public static string RepositoryRoot { get; } = FindRoot();

    /// <summary>Full path of a file in tests/reference.</summary>
    public static string PathOf(string name) => Path.Combine(RepositoryRoot, "tests", "reference", name);

    /// <summary>Rows of a CSV file as dictionaries from column name to text; quoted fields may hold commas.</summary>
    public static IReadOnlyList<Dictionary<string, string>> ReadCsv(string name)
    {
        var lines = File.ReadAllLines(PathOf(name)).Where(l => l.Length > 0).ToArray();
        var header = Split(lines[0]);
        return lines.Skip(1)
            .Select(l => Split(l).Select((v, i) => (Key: header[i], Value: v)).ToDictionary(p => p.Key, p => p.Value))
            .ToList();
    }

    /// <summary>The folder handed to the team beside the checkout, or null where it is absent (then tests that need it skip).</summary>
    public static string? SharedFolder(string name)
    {
        // PHASEKEEPER_SHARED names the folder where it is elsewhere.
        var folder = Environment.GetEnvironmentVariable("PHASEKEEPER_SHARED") is { Length: > 0 } given ? given : Path.Combine(RepositoryRoot, "..", "shared");
        var path = Path.GetFullPath(Path.Combine(folder, name));
        return Directory.Exists(path) ? path : null;
    }

    private static string FindRoot()
    {
        for (var folder = new DirectoryInfo(AppContext.BaseDirectory); folder is not null; folder = folder.Parent)
            if (File.Exists(Path.Combine(folder.FullName, "Monitor.sln"))) return folder.FullName;
        throw new DirectoryNotFoundException($"No Monitor.sln above {AppContext.BaseDirectory}: tests run from inside the checkout.");
    }

    private static List<string> Split(string line)
    {
        var fields = new List<string>();
        var field = new System.Text.StringBuilder();
        var quoted = false;
        foreach (var c in line)
        {
            if (c == '"') quoted = !quoted;
            else if (c == ',' && !quoted) { fields.Add(field.ToString()); field.Clear(); }
            else field.Append(c);
        }
        fields.Add(field.ToString());
        return fields;
    }
}
