namespace Phasekeeper.Web.Features.Reports;

/// <summary>The settings under <c>Phasekeeper:Reports:</c>.</summary>
public sealed class ReportOptions
{
    /// <summary>Path of Chromium, which turns pages into PDF; empty = where systems put it.</summary>
    public string? Chromium { get; set; }

    /// <summary>A4 (default) or Letter.</summary>
    public string Paper { get; set; } = "A4";

    /// <summary>Whether a day's report is made by itself when the day is complete; empty = in the demo only.</summary>
    public bool? Daily { get; set; }

    /// <summary>As <see cref="Daily"/>, for weeks.</summary>
    public bool? Weekly { get; set; }
}
