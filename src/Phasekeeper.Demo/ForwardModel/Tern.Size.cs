namespace Phasekeeper.Demo.ForwardModel;

/// <summary>How large the images are. In a file of its own: the benchmarks build the same mission at another size.</summary>
public sealed partial class Tern
{
    /// <summary>Detector rows.</summary>
    public const int Rows = 16;
    /// <summary>Samples along a row.</summary>
    public const int Samples = 192;

    /// <summary>Tangent heights that the rows look at from the mean orbit, km.</summary>
    public static readonly double[] TangentKm = [85, 90, 95, 100, 105, 110, 116, 123, 132, 143, 157, 174, 195, 222, 256, 298];

    private const double GreenCycles = 38.4, RedCycles = 30.9, OpdStepUm = 50;
}
