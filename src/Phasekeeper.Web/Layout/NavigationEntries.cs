namespace Phasekeeper.Web.Layout;

/// <summary>One entry of the main navigation.</summary>
/// <param name="Title">Word shown.</param>
/// <param name="Href">Address.</param>
/// <param name="IconPath">SVG path in a 24 × 24 box, drawn as a line.</param>
/// <param name="Policy">Who sees it; null = everybody.</param>
public sealed record NavigationEntry(string Title, string Href, string IconPath, string? Policy = null);

/// <summary>The main navigation, in the order of a morning's work.</summary>
public static class NavigationEntries
{
    /// <summary>All entries.</summary>
    public static readonly IReadOnlyList<NavigationEntry> All =
    [
        new("Today", "/", "M12 3v2M12 19v2M3 12h2M19 12h2M5.6 5.6l1.4 1.4M17 17l1.4 1.4M5.6 18.4 7 17M17 7l1.4-1.4M12 8a4 4 0 1 0 0 8 4 4 0 0 0 0-8z"),
        new("Sign-off", "/day", "M5 3h14v18H5zM8.5 8h7M8.5 11.5h4M8.5 16l2 2 4.5-4.5"),
        new("Orbit", "/orbit", "M12 8.5a3.5 3.5 0 1 0 0 7 3.5 3.5 0 0 0 0-7zM20.5 5.5c1.6 2.2-.9 7-5.6 10.7-4.7 3.7-9.8 4.9-11.4 2.7-1.2-1.7 0-4.9 2.7-8M20 4.5h.02"),
        new("Winds", "/winds", "M3 9h10.5a2.5 2.5 0 1 0-2.4-3.2M3 13h15a2.5 2.5 0 1 1-2.4 3.2M3 17h7.5a2 2 0 1 1-1.9 2.6"),
        new("Drift", "/drift", "M3 4v16h18M6 15c2.5 0 3-5 5.5-5s3 3 5 1.5S20 6 21 5.5"),
        new("Coefficients", "/coefficients", "M5 4v9M5 17v3M12 4v3M12 11v9M19 4v7M19 15v5M3 15h4M10 9h4M17 13h4"),
        new("Channels", "/channels", "M3 7h3l2-3 3 6 2-3h8M3 17h4l2-3 3 6 2-3h7"),
        new("Vouch", "/vouch", "M12 3l7 3v5c0 4.6-3 8.1-7 10-4-1.9-7-5.4-7-10V6l7-3zM8.5 12l2.5 2.5 4.5-5"),
        new("Flags", "/flags", "M6 21V4M6 4.5c4-2.5 7 2 12 0v8.5c-5 2-8-2.5-12 0"),
        new("Activities", "/activities", "M5 5h14v15H5zM5 9.5h14M8.5 3v4M15.5 3v4M8.5 13h3M8.5 16.5h7"),
        new("Rules", "/rules", "M4 7h9M17 7h3M4 17h3M11 17h9M15 4.5a2.5 2.5 0 1 1 0 5 2.5 2.5 0 0 1 0-5zM9 14.5a2.5 2.5 0 1 1 0 5 2.5 2.5 0 0 1 0-5z"),
        new("Data", "/data", "M4 6c0-1.7 3.6-3 8-3s8 1.3 8 3-3.6 3-8 3-8-1.3-8-3zM4 6v12c0 1.7 3.6 3 8 3s8-1.3 8-3V6M4 12c0 1.7 3.6 3 8 3s8-1.3 8-3"),
        new("Record", "/record", "M6 3h9l3 3v15H6zM9 9h6M9 13h6M9 17h4"),
        new("People", "/people", "M9 11a3.5 3.5 0 1 0 0-7 3.5 3.5 0 0 0 0 7zM2.5 20c.6-3.8 3-6 6.5-6s5.9 2.2 6.5 6M15.5 4.4a3.5 3.5 0 0 1 0 6.2M17.5 14.6c2.3.7 3.6 2.6 4 5.4", Storage.Roles.Administrator),
        new("Notices", "/notices", "M4 6h16v12H4zM4 7l8 6 8-6", Storage.Roles.Administrator),
        new("Help", "/help", "M12 21a9 9 0 1 0 0-18 9 9 0 0 0 0 18zM9.5 9.5a2.5 2.5 0 1 1 3.7 2.2c-.8.5-1.2 1-1.2 1.8M12 16.8v.1"),
    ];
}
