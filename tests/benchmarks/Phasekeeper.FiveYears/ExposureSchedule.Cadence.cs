using Phasekeeper.Core.Fringes;

namespace Phasekeeper.Demo.ForwardModel;

/// <summary>
/// Lamps as often as in the demo, so that every tracker has its value on every orbit, and four scenes an orbit: two, and two eight minutes later, when the other view sees the same air. Their place on the orbit moves
/// on, so that days see all latitudes.
/// </summary>
public sealed partial class ExposureSchedule
{
    /// <summary>Seconds between scenes, on average.</summary>
    public const int SceneSeconds = BurstSeconds / 4;
    /// <summary>Seconds between lamp exposures.</summary>
    public const int LampSeconds = 480;

    private const int BurstSeconds = 5640;

    // The first of each kind in the order of kinds, then the further scenes.
    private static readonly (ExposureKind Kind, int OffsetS, int PeriodS, double IntegrationS)[] Series =
    [
        (ExposureKind.Scene, 30, BurstSeconds, 20),
        (ExposureKind.Lamp, 90, LampSeconds, 5),
        (ExposureKind.Dark, 240, 28200, 20),
        (ExposureKind.Flat, 480, 141000, 2),
        (ExposureKind.Scene, 150, BurstSeconds, 20),
        (ExposureKind.Scene, 510, BurstSeconds, 20),
        (ExposureKind.Scene, 630, BurstSeconds, 20),
    ];
}
