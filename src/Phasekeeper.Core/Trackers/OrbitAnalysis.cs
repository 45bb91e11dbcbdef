using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Trackers;

/// <summary>An orbit's input with what several trackers need from it, each made once when first asked for. Not for use by several threads at once.</summary>
public sealed class OrbitAnalysis(OrbitInput input)
{
    /// <summary>What it was made from.</summary>
    public OrbitInput Input { get; } = input;

    /// <summary>Length of the orbit, s.</summary>
    public double OrbitS => Input.End - Input.Start;

    /// <summary>Time given to the orbit's values: the middle of its exposures, or of the orbit when it has none.</summary>
    public Instant MiddleOfData => Input.Fringes.Count == 0
        ? Input.Start.AddSeconds(OrbitS / 2)
        : Input.Fringes[0].Time.AddSeconds((Input.Fringes[^1].Time - Input.Fringes[0].Time) / 2);

    /// <summary>This orbit's results of one kind, view and line, in time order.</summary>
    public IEnumerable<FringeResult> Exposures(ExposureKind kind, string view, string line) =>
        Input.Fringes.Where(f => f.Kind == kind && f.View == view && f.Line == line);
}
