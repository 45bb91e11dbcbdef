using BenchmarkDotNet.Attributes;
using Phasekeeper.Core.Winds;

namespace Phasekeeper.Benchmarks;

/// <summary>
/// The two kernels that a day's time goes into: phases of rows (dark, flat, motion, spikes, shift, phase, σ; 64 frames of 36 rows, told a row) and the inversion of one profile of 24 rows.
/// Their peers stand in <see cref="FringeSpeed"/>.
/// </summary>
[MemoryDiagnoser]
public class KernelBenchmarks
{
    private FringeSpeed.FringeFrames frames = null!;
    private LosWindInput input = null!;
    private LimbPaths paths = null!;

    /// <summary>Signal of the frames, electrons a sample.</summary>
    [Params(300, 5000)]
    public double Signal { get; set; }

    /// <summary>Makes frames and a scene.</summary>
    [GlobalSetup]
    public void Setup()
    {
        frames = new(Signal, 0);
        (var looks, input, _) = WindSpeed.Prepare(24);
        paths = LimbPaths.TryBuild(looks)!;
    }

    /// <summary>Phases of 2304 rows of 320 samples.</summary>
    [Benchmark(OperationsPerInvoke = FringeSpeed.Frames * FringeSpeed.Rows)]
    public void PhaseOfARow() => frames.Retrieve();

    /// <summary>Winds of one exposure, view and line.</summary>
    [Benchmark]
    public LosWindProfile InversionOfAProfile() => LosWindRetrieval.Retrieve(input, paths);
}
