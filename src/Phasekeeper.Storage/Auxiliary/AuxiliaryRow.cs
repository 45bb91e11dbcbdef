using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>What an auxiliary file is about.</summary>
public static class AuxiliaryKind
{
    /// <summary>Orbit: OEM, OMM or two-line sets.</summary>
    public const string Orbit = "orbit";

    /// <summary>Attitude: AEM.</summary>
    public const string Attitude = "attitude";

    /// <summary>Planned activities: iCalendar.</summary>
    public const string Activities = "activities";

    /// <summary>Winds that others measured or modelled: CSV.</summary>
    public const string Winds = "winds";
}

/// <summary>A received orbit, attitude or activity file, or set of independent winds; the content is fetched apart.</summary>
public sealed record AuxiliaryRow
{
    /// <summary>Id; products name it.</summary>
    public long Id { get; init; }
    /// <summary>See <see cref="AuxiliaryKind"/>.</summary>
    public required string Kind { get; init; }
    /// <summary>oem | omm | tle | aem | ics | csv.</summary>
    public required string Format { get; init; }
    /// <summary>File name as it came.</summary>
    public required string Name { get; init; }
    /// <summary>Road: inbox, api, upload, profile.</summary>
    public required string Source { get; init; }
    /// <summary>Wall clock.</summary>
    public required Instant Received { get; init; }
    /// <summary>1, 2, 3… per kind, in the order of arrival.</summary>
    public int Version { get; init; }
    /// <summary>SHA-256 of the content.</summary>
    public byte[] Sha256 { get; init; } = [];
    /// <summary>Bytes.</summary>
    public int Length { get; init; }
    /// <summary>definitive | predicted | unknown (not read yet).</summary>
    public string Quality { get; init; } = "unknown";
    /// <summary>received | read | refused.</summary>
    public string State { get; init; } = "received";
    /// <summary>Refused: why.</summary>
    public string Reason { get; init; } = "";
    /// <summary>First moment covered; null before it was read.</summary>
    public Instant? CoverFrom { get; init; }
    /// <summary>Last moment covered.</summary>
    public Instant? CoverTo { get; init; }
}
