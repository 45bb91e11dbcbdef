using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Fringes;

/// <summary>What an exposure looked at (domain.md section 2).</summary>
public enum ExposureKind
{
    /// <summary>The limb's airglow.</summary>
    Scene = 0,
    /// <summary>The calibration lamp.</summary>
    Lamp = 1,
    /// <summary>Shutter closed.</summary>
    Dark = 2,
    /// <summary>White source, no fringes.</summary>
    Flat = 3,
}

/// <summary>
/// The counts of one exposure, view and line, as decoded. <see cref="Rows"/> has one entry a detector row (N counts), null
/// where the row's packet is missing.
/// </summary>
public sealed record FringeFrame
{
    /// <summary>Exposure number from the packets.</summary>
    public required long Exposure { get; init; }
    /// <summary>Kind of exposure.</summary>
    public required ExposureKind Kind { get; init; }
    /// <summary>View id.</summary>
    public required string View { get; init; }
    /// <summary>Line id.</summary>
    public required string Line { get; init; }
    /// <summary>Middle of the exposure.</summary>
    public required Instant Time { get; init; }
    /// <summary>Integration time, s.</summary>
    public required double IntegrationS { get; init; }
    /// <summary>Counts, [row][sample]; null for a missing row.</summary>
    public required ushort[]?[] Rows { get; init; }
}
