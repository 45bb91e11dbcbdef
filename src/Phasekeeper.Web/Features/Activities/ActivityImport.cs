using System.Text;
using Phasekeeper.Pipeline.Intake;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.Activities;

/// <summary>Takes in calendars on the road of all files, so that they are kept whole and versioned.</summary>
public sealed class ActivityImport(IntakeService intake)
{
    /// <summary>Largest calendar, bytes (chosen: thousands of events).</summary>
    public const int LargestBytes = 4 * 1024 * 1024;

    /// <summary>What is said of a larger one.</summary>
    public const string TooLarge = "The calendar has more than 4 MiB; a mission's plan is smaller. Export only the mission's own calendar and try again.";

    /// <summary>Takes in a calendar that was looked at before.</summary>
    public Task TakeAsync(byte[] content, string name, string road, Actor actor, CancellationToken cancel = default) => intake.IngestAsync(content, $"{road}:{name}", actor, cancel);

    /// <summary>The text of a calendar: UTF-8 (RFC 5545, section 3.1.4).</summary>
    public static string Text(byte[] content) => Encoding.UTF8.GetString(content).TrimStart('\uFEFF');

    /// <summary>The name that is kept: no folders, no control characters, ending in .ics.</summary>
    public static string CleanName(string? name)
    {
        var plain = string.Concat(Path.GetFileName((name ?? "").Replace('\\', '/')).Where(c => !char.IsControl(c)).Take(200)).Trim();
        return plain.Length == 0 ? "calendar.ics" : plain.EndsWith(".ics", StringComparison.OrdinalIgnoreCase) ? plain : plain + ".ics";
    }
}
