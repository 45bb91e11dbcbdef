using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Instrument;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Pipeline.Stages;

/// <summary>The rows of one exposure, view and line, conflicts resolved.</summary>
/// <param name="Frame">The counts.</param>
/// <param name="Rows">The rows in use, by detector row.</param>
public sealed record AssembledFrame(FringeFrame Frame, IReadOnlyList<ReceivedRow> Rows);

/// <summary>A row that lost its place to another with a smaller SHA-256.</summary>
public sealed record RowConflict(ReceivedRow Winner, ReceivedRow Loser);

/// <summary>
/// Puts rows together into frames. Rows that claim the same exposure, kind, view, line and detector row are a conflict: the packet with
/// the smaller SHA-256 is used. Claims of one exposure more than <see cref="SameExposureS"/> apart belong to different exposures (a counter
/// that restarted). The result depends on the set of rows alone, not on their order.
/// </summary>
public static class FringeAssembler
{
    /// <summary>Claims further apart than this are different exposures, s (chosen: several orbits, far below any counter's period).</summary>
    public const double SameExposureS = 6 * 3600;

    /// <summary>Frames ordered by time, exposure, kind, view, line; and the rows that lost.</summary>
    public static (IReadOnlyList<AssembledFrame> Frames, IReadOnlyList<RowConflict> Conflicts) Assemble(IEnumerable<ReceivedRow> rows, InstrumentModel instrument)
    {
        var frames = new List<AssembledFrame>();
        var conflicts = new List<RowConflict>();
        foreach (var exposure in rows.GroupBy(r => (r.Row.Exposure, r.Row.Kind)))
            foreach (var cluster in Clusters(exposure))
                foreach (var frame in cluster.GroupBy(r => (r.Row.View, r.Row.Line)))
                    frames.Add(Frame(frame, instrument, conflicts));
        return (
            [.. frames.OrderBy(f => f.Frame.Time).ThenBy(f => f.Frame.Exposure).ThenBy(f => f.Frame.Kind)
                .ThenBy(f => f.Frame.View, StringComparer.Ordinal).ThenBy(f => f.Frame.Line, StringComparer.Ordinal)],
            [.. conflicts.OrderBy(c => c.Loser.Packet.Place.Time).ThenBy(c => c.Loser.Packet.Hash)]);
    }

    private static IEnumerable<List<ReceivedRow>> Clusters(IEnumerable<ReceivedRow> rows)
    {
        var cluster = new List<ReceivedRow>();
        foreach (var row in rows.OrderBy(r => r.Middle).ThenBy(r => r.Packet.Hash))
        {
            if (cluster.Count > 0 && row.Middle - cluster[^1].Middle > SameExposureS)
            {
                yield return cluster;
                cluster = [];
            }
            cluster.Add(row);
        }
        yield return cluster;
    }

    private static AssembledFrame Frame(IGrouping<(string View, string Line), ReceivedRow> rows, InstrumentModel instrument, List<RowConflict> conflicts)
    {
        var used = new SortedDictionary<int, ReceivedRow>();
        foreach (var claims in rows.GroupBy(r => r.Row.Row))
        {
            var byHash = claims.OrderBy(c => c.Packet.Hash).ToArray();
            used.Add(claims.Key, byHash[0]);
            conflicts.AddRange(byHash.Skip(1).Select(loser => new RowConflict(byHash[0], loser)));
        }
        var counts = new ushort[]?[instrument.Rows];
        foreach (var (row, received) in used) counts[row] = received.Counts;
        // Rows of an exposure share its time; should a packet say otherwise, the earliest is taken, whichever came first.
        var first = used.Values.MinBy(r => (r.Middle, r.Row.Row))!;
        return new(new FringeFrame
        {
            Exposure = first.Row.Exposure,
            Kind = first.Row.Kind,
            View = rows.Key.View,
            Line = rows.Key.Line,
            Time = first.Middle,
            IntegrationS = first.Row.IntegrationS,
            Rows = counts,
        }, [.. used.Values]);
    }
}
