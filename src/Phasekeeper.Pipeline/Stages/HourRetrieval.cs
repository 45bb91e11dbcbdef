using Phasekeeper.Core.Fringes;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Stages;

/// <summary>What an hour's rows became.</summary>
/// <param name="Results">Results that belong to the hour, in order of time, exposure, kind, view, line; those that were kept as they were stored.</param>
/// <param name="Conflicts">Rows that lost their place.</param>
/// <param name="Others">Frames that other hours have to store, by hour.</param>
public sealed record HourFringes(IReadOnlyList<StoredFringe> Results, IReadOnlyList<RowConflict> Conflicts, IReadOnlyDictionary<long, IReadOnlyList<AssembledFrame>> Others)
{
    /// <summary>Nothing.</summary>
    public static HourFringes None { get; } = new([], [], new Dictionary<long, IReadOnlyList<AssembledFrame>>());
}

/// <summary>
/// Rows of an hour from the archive → phases, with the coefficient sets of a mission's state; stores nothing. A result that is given and whose fingerprint holds is kept. One instance serves one life of set
/// numbers: a set is known by its number. Not for several threads at once.
/// </summary>
/// <param name="stores">Archive, claims and temperatures.</param>
/// <param name="parallel">Exposures that are retrieved at once.</param>
public sealed class HourRetrieval(Stores stores, int parallel)
{
    private readonly TemperatureLookup temperatures = new(stores);
    private readonly Dictionary<(long Set, string View, string Line), FringeRetrieval> retrievals = [];

    /// <summary>Retrieves an hour.</summary>
    /// <param name="hour">Hour bucket.</param>
    /// <param name="rowsChanged">True when the hour may have other rows than those behind <paramref name="kept"/>; false: only conditions may have changed.</param>
    /// <param name="kept">Results that stay where their fingerprints hold.</param>
    /// <param name="mission">Mission with an instrument.</param>
    /// <param name="decoder">Decoder.</param>
    /// <param name="decoded">The hour as just decoded, or null to read it from the archive.</param>
    public HourFringes Run(long hour, bool rowsChanged, IReadOnlyList<StoredFringe> kept, MissionState mission, HourDecoder decoder, DecodedHour? decoded)
    {
        ArgumentNullException.ThrowIfNull(kept);
        ArgumentNullException.ThrowIfNull(mission);
        ArgumentNullException.ThrowIfNull(decoder);
        var start = Hour.Start(hour).AddSeconds(-TemperatureLookup.LongestGapS);
        var end = Hour.End(hour).AddSeconds(TemperatureLookup.LongestGapS);
        var conditions = new RetrievalConditions(mission,
            temperatures.Series(mission.Profile.DetectorTemperature, start, end), temperatures.Series(mission.Profile.BenchTemperature, start, end));
        // Nothing but the conditions may have changed: then the rows' fingerprints tell without reading any packet.
        if (decoded is null && !rowsChanged && kept.Count > 0 && kept.All(k => conditions.Of(k.Result).Hash(k.RowsHash).AsSpan().SequenceEqual(k.InputHash)))
            return HourFringes.None with { Results = kept };

        decoded ??= decoder.Decode(hour, stores.Archive.ReadHour(hour).Used);
        var shared = stores.Claims.Shared(hour, (int)(FringeAssembler.SameExposureS / 3600) + 1);
        var others = shared.Select(s => s.OtherHour).Distinct()
            .SelectMany(h => decoder.Decode(h, stores.Archive.ReadHour(h).Used).Rows)
            .Where(r => shared.Any(s => s.Exposure == r.Row.Exposure && s.Kind == r.Row.Kind));
        var (frames, conflicts) = FringeAssembler.Assemble(decoded.Rows.Concat(others), mission.Instrument!);

        var own = frames.Where(f => OwnerHour(f) == hour).ToArray();
        var known = kept.ToDictionary(k => Convert.ToHexString(k.InputHash));
        var results = new StoredFringe[own.Length];
        Parallel.For(0, own.Length, new ParallelOptions { MaxDegreeOfParallelism = parallel }, i =>
        {
            var condition = conditions.Of(own[i].Frame);
            var rows = RowsDigest.OfRows(own[i]);
            var input = condition.Hash(rows);
            results[i] = known.TryGetValue(Convert.ToHexString(input), out var same) ? same : Make(own[i], condition, rows, input, hour, mission);
        });
        return new(results, conflicts, frames.GroupBy(OwnerHour).Where(g => g.Key != hour).ToDictionary(g => g.Key, g => (IReadOnlyList<AssembledFrame>)[.. g]));
    }

    private StoredFringe Make(AssembledFrame assembled, RetrievalCondition condition, byte[] rows, byte[] input, long hour, MissionState mission)
    {
        var frame = assembled.Frame;
        var retrieval = RetrievalOf(condition.Coefficients, frame.View, frame.Line, mission);
        return new StoredFringe
        {
            Hour = hour,
            Result = retrieval.Retrieve(frame, condition.DetectorC, condition.MotionMs, condition.PredictedShift),
            Orbit = mission.Orbits.At(frame.Time)?.Number,
            RowsHash = rows,
            InputHash = input,
            CoefficientSet = condition.Coefficients.SetId,
            EphemerisFile = condition.EphemerisFile,
            SoftwareVersion = SoftwareVersion.Current,
        };
    }

    private FringeRetrieval RetrievalOf(CoefficientsInForce coefficients, string view, string line, MissionState mission)
    {
        lock (retrievals)
        {
            if (!retrievals.TryGetValue((coefficients.SetId, view, line), out var retrieval))
                retrievals.Add((coefficients.SetId, view, line), retrieval = new FringeRetrieval(mission.Instrument!, coefficients.Set, view, line));
            return retrieval;
        }
    }

    private static long OwnerHour(AssembledFrame frame) => frame.Rows.Min(r => Hour.Of(r.Packet.Time));
}
