using Phasekeeper.Core.Fringes;

namespace Phasekeeper.Demo.ForwardModel;

/// <summary>A scene every minute; lamp, dark and flat exposures as often as in the demo, in the gaps between scenes.</summary>
public sealed partial class ExposureSchedule
{
    /// <summary>Seconds between scenes.</summary>
    public const int SceneSeconds = 60;
    /// <summary>Seconds between lamp exposures.</summary>
    public const int LampSeconds = 480;

    private static readonly (ExposureKind Kind, int OffsetS, int PeriodS, double IntegrationS)[] Series =
    [
        (ExposureKind.Scene, 30, SceneSeconds, 20),
        (ExposureKind.Lamp, 60, LampSeconds, 5),
        (ExposureKind.Dark, 120, 9600, 20),
        (ExposureKind.Flat, 180, 48000, 2),
    ];
}
