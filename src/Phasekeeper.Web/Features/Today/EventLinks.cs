using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.Today;

/// <summary>Where an event of the news leads.</summary>
public static class EventLinks
{
    /// <summary>Address of what an event is about; null when there is no page for it.</summary>
    public static string? Of(EventRow change) => change.Kind switch
    {
        "flag" => $"/flags/{Uri.EscapeDataString(change.Subject)}",
        "day" => change.Subject.Length > 0 ? $"/day/{Uri.EscapeDataString(change.Subject)}" : "/day",
        "orbit" or "hold" => $"/orbit/{Uri.EscapeDataString(change.Subject)}",
        "ingest" or "file" => "/data",
        "quarantine" => "/data?tab=quarantine",
        "coefficients" => "/coefficients",
        _ => null,
    };
}
