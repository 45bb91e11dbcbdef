using Phasekeeper.Core.Fringes;

namespace Phasekeeper.Demo.ForwardModel;

/// <summary>Four scenes and two lamp exposures an orbit: years of them are made in an hour, and every orbit still has winds and trackers.</summary>
public sealed partial class ExposureSchedule
{
    /// <summary>Seconds between scenes: their place on the orbit moves on, so that days see all latitudes.</summary>
    public const int SceneSeconds = 1410;
    /// <summary>Seconds between lamp exposures.</summary>
    public const int LampSeconds = 2820;

    private static readonly (ExposureKind Kind, int OffsetS, int PeriodS, double IntegrationS)[] Series =
    [
        (ExposureKind.Scene, 30, SceneSeconds, 20),
        (ExposureKind.Lamp, 90, LampSeconds, 5),
        (ExposureKind.Dark, 240, 28200, 20),
        (ExposureKind.Flat, 480, 141000, 2),
    ];
}
