namespace Phasekeeper.Demo.ForwardModel;

/// <summary>A full-size image: the demo's optics on a detector with more and finer rows and samples.</summary>
public sealed partial class Tern
{
    /// <summary>Detector rows.</summary>
    public const int Rows = 36;
    /// <summary>Samples along a row.</summary>
    public const int Samples = 320;

    /// <summary>Tangent heights that the rows look at from the mean orbit, km: steps that grow from 2.5 km at 85 km to 12 km at 305 km.</summary>
    public static readonly double[] TangentKm = [.. Enumerable.Range(0, Rows).Select(r => Math.Round(85 + 2.5 * r + 0.108 * r * r, 1))];

    // The demo's fringes and its whole range of path difference on 320 samples instead of 192.
    private const double GreenCycles = 64, RedCycles = 51.5, OpdStepUm = 30;
}
