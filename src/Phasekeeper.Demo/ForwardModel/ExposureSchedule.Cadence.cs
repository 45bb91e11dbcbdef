using Phasekeeper.Core.Fringes;

namespace Phasekeeper.Demo.ForwardModel;

/// <summary>How often. In a file of its own: the benchmarks build the same mission with more exposures.</summary>
public sealed partial class ExposureSchedule
{
    /// <summary>Seconds between scenes.</summary>
    public const int SceneSeconds = 120;
    /// <summary>Seconds between lamp exposures.</summary>
    public const int LampSeconds = 480;

    private static readonly (ExposureKind Kind, int OffsetS, int PeriodS, double IntegrationS)[] Series =
    [
        (ExposureKind.Scene, 30, SceneSeconds, 20),
        (ExposureKind.Lamp, 90, LampSeconds, 5),
        (ExposureKind.Dark, 60, 9600, 20),
        (ExposureKind.Flat, 120, 48000, 2),
    ];
}
