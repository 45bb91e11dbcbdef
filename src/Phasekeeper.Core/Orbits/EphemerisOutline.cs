using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Orbits;

/// <summary>What can be said of an ephemeris without its states: enough to choose it for a moment and to number orbits by it.</summary>
/// <param name="Kind">How it was made.</param>
/// <param name="Coverage">The stretches covered, in order and without overlap, ends included.</param>
/// <param name="Nodes">Its ascending nodes, in order.</param>
/// <param name="PeriodS">Time from node to node, s; NaN without a node.</param>
/// <param name="FirstEpoch">Mean elements: epoch of the earliest set; else null.</param>
/// <param name="RevolutionAtFirstEpoch">Mean elements: revolution number at that epoch; null where none is told.</param>
public sealed record EphemerisOutline(
    EphemerisKind Kind, IReadOnlyList<TimeStretch> Coverage, IReadOnlyList<Instant> Nodes, double PeriodS, Instant? FirstEpoch = null, int? RevolutionAtFirstEpoch = null)
{
    /// <summary>GM of the Earth, m³/s² (WGS 84, NIMA TR8350.2), for a period where fewer than three nodes are known.</summary>
    private const double Mu = 3.986004418e14;

    /// <summary>Finds the nodes of an ephemeris, over all that it covers.</summary>
    public static EphemerisOutline Of(IEphemeris ephemeris)
    {
        ArgumentNullException.ThrowIfNull(ephemeris);
        var nodes = NodeFinder.AscendingNodes(ephemeris, ephemeris.Start, ephemeris.End);
        var first = (ephemeris as MeanElementsEphemeris)?.Sets.First();
        return new(ephemeris.Kind, ephemeris.Coverage, nodes, nodes.Count == 0 ? double.NaN : Period(ephemeris, nodes), first?.Epoch, first?.RevolutionAtEpoch);
    }

    private static double Period(IEphemeris ephemeris, IReadOnlyList<Instant> nodes)
    {
        // The median spacing: gaps in the coverage make a few longer ones.
        if (nodes.Count > 2)
        {
            var spacings = nodes.Zip(nodes.Skip(1), (a, b) => b - a).Order().ToArray();
            return spacings[spacings.Length / 2];
        }
        ephemeris.TryGetState(nodes[0], out var state);
        var v = state.VelocityTemeMs.Length;
        var axis = 1 / (2 / state.PositionTemeM.Length - v * v / Mu);
        return 2 * Math.PI * Math.Sqrt(axis * axis * axis / Mu);
    }
}
