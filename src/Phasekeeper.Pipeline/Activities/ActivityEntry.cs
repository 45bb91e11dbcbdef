using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using Phasekeeper.Core.Activities;
using Phasekeeper.Core.Time;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Activities;

/// <summary>An activity as it counts now, with where that comes from. Cancelled ones stay.</summary>
public sealed record ActivityEntry
{
    /// <summary>What is planned.</summary>
    public required PlannedActivity Activity { get; init; }
    /// <summary>True when it is cancelled: it explains nothing.</summary>
    public bool IsCancelled { get; init; }
    /// <summary>SEQUENCE that it counts as.</summary>
    public int Sequence { get; init; }
    /// <summary>When it was last changed, as its source says; null = not said.</summary>
    public Instant? Modified { get; init; }
    /// <summary>Calendar that has it; null when it was entered here alone.</summary>
    public string? Calendar { get; init; }
    /// <summary>The person's version that counts; null when the calendar does.</summary>
    public ActivityVersionRow? Version { get; init; }
    /// <summary>A person's version that the calendar has replaced since; null = none.</summary>
    public ActivityVersionRow? Replaced { get; init; }

    /// <summary>Id.</summary>
    public string Id => Activity.Id;

    /// <summary>Tells what a person saw: 12 hex digits that follow from all that is shown of it. A change names the one that it was made on.</summary>
    public string Revision
    {
        get
        {
            var a = Activity;
            var text = string.Create(CultureInfo.InvariantCulture,
                $"{a.Id}\n{a.Kind.Id}\n{a.Summary}\n{a.From.TaiNanoseconds}\n{a.To.TaiNanoseconds}\n{IsCancelled}\n{Sequence}\n{(a.Expects is null ? "kind" : ActivityTopics.Join(a.Expects))}\n{a.Description}");
            return Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(text)))[..12];
        }
    }
}
