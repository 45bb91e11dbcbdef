using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Coefficients.Trials;

/// <summary>Fringes of hours as a mission's state with one set gives them, retrieved from the archive by the ordinary code and not stored. The last hours are kept in memory. Not for several threads at once.</summary>
/// <param name="stores">Archive and stored results.</param>
/// <param name="mission">State with the set to be tried.</param>
/// <param name="useStored">True: stored results are taken where their fingerprints hold.</param>
internal sealed class TrialFringes(Stores stores, MissionState mission, bool useStored) : IFringeSource
{
    // Chosen: an orbit with its neighbours reaches over nine hours; some 2 MB an hour.
    private const int MostHours = 12;
    // Chosen: months of hours.
    private const int MostMarks = 5000;
    private readonly HourRetrieval retrieval = new(stores, parallel: 1);
    private readonly HourDecoder decoder = new(mission.Plan, mission.Profile);
    private readonly Dictionary<long, IReadOnlyList<StoredFringe>> hours = [];
    private readonly Queue<long> order = new();

    /// <inheritdoc/>
    public IReadOnlyList<StoredFringe> Read(Instant from, Instant to, ExposureKind? kind = null) =>
        [.. stores.Fringes.Hours(from, to).SelectMany(Hour).Where(f => f.Result.Time >= from && f.Result.Time < to && (kind is null || f.Result.Kind == kind))
            .OrderBy(f => f.Result.Time).ThenBy(f => f.Result.Kind).ThenBy(f => f.Result.Exposure).ThenBy(f => f.Result.View, StringComparer.Ordinal).ThenBy(f => f.Result.Line, StringComparer.Ordinal)];

    // Late packets that the engine has not come to: both sets are tried on the rows that the archive has now.
    private bool RowsMayHaveChanged(long hour) => stores.Work.Peek(WorkKinds.Decode, MostMarks).Concat(stores.Work.Peek(WorkKinds.Retrieve, MostMarks)).Any(w => w.Key == hour);

    private IReadOnlyList<StoredFringe> Hour(long hour)
    {
        if (hours.TryGetValue(hour, out var known)) return known;
        if (hours.Count == MostHours) hours.Remove(order.Dequeue());
        order.Enqueue(hour);
        return hours[hour] = retrieval.Run(hour, RowsMayHaveChanged(hour), useStored ? stores.Fringes.OfHour(hour) : [], mission, decoder, null).Results;
    }
}

/// <summary>The fringes of another trial under the number of this one's set: for sets that the retrieval cannot tell apart.</summary>
internal sealed class RelabelledFringes(IFringeSource source, long set) : IFringeSource
{
    /// <inheritdoc/>
    public IReadOnlyList<StoredFringe> Read(Instant from, Instant to, ExposureKind? kind = null) => [.. source.Read(from, to, kind).Select(f => f with { CoefficientSet = set })];
}
