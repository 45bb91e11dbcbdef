using Phasekeeper.Core.Time;
using Phasekeeper.Core.WindMeans;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.WindCompare;

/// <summary>One bin of the day against the days before it.</summary>
/// <param name="Bin">Bin.</param>
/// <param name="Here">The day (or orbit); null when nothing was measured.</param>
/// <param name="Before">The days before; null when nothing was measured.</param>
public sealed record ComparedBin(int Bin, WindBinMean? Here, WindBinMean? Before)
{
    /// <summary>This day minus the days before, m/s; NaN where one of them is missing.</summary>
    public double DifferenceMs => Here is { } h && Before is { } b ? h.MeanMs - b.MeanMs : double.NaN;

    /// <summary>
    /// 1σ that a difference has when nothing but the usual variability is at work, m/s: days scatter by the day-to-day deviation (an orbit by that from orbit to orbit as well), and the
    /// mean before is one of so many days. NaN where too few days are known.
    /// </summary>
    public double UsualMs(bool isOrbit)
    {
        if (Before is not { Days: > 2 } b || !double.IsFinite(b.DayToDayMs)) return double.NaN;
        var own = isOrbit && double.IsFinite(b.OrbitToOrbitMs) ? b.OrbitToOrbitMs * b.OrbitToOrbitMs : 0;
        return Math.Sqrt(b.DayToDayMs * b.DayToDayMs * (1 + 1.0 / b.Days) + own);
    }
}

/// <summary>One day's mean of a bin.</summary>
public readonly record struct BinDay(DateOnly Date, WindBinMean Mean);

/// <summary>What the comparison reads: bins of orbits, never vectors.</summary>
public sealed class CompareQueries(Stores stores)
{
    /// <summary>All bins of the choice's altitude, those without any wind left out.</summary>
    public IReadOnlyList<ComparedBin> Read(MissionState mission, CompareChoice choice)
    {
        ArgumentNullException.ThrowIfNull(choice);
        var here = Means(mission, choice, choice.Date, choice.Date, choice.Orbit);
        var before = Means(mission, choice, choice.Date.AddDays(-choice.Base.Days), choice.Date.AddDays(-1), null);
        return [.. here.Bins.Union(before.Bins).Where(b => WindBinGrid.Parts(b).Altitude == choice.Altitude).Order().Select(b => new ComparedBin(b, here.Of(b), before.Of(b)))];
    }

    /// <summary>Daily means of one bin, from the base's first day to the day itself.</summary>
    public IReadOnlyList<BinDay> Days(MissionState mission, CompareChoice choice, int bin)
    {
        var (slots, orbits) = Orbits(mission, choice.Line, choice.Date.AddDays(-choice.Base.Days), choice.Date);
        var days = new List<BinDay>();
        foreach (var day in orbits.GroupBy(o => slots[o.Orbit].Start.UtcDate).OrderBy(g => g.Key))
        {
            var means = new WindBinMeans(choice.Component, choice.WithDoubtful);
            foreach (var orbit in day) means.Add(0, orbit with { Bins = [.. orbit.Bins.Where(b => b.Bin == bin)] });
            if (means.Of(bin) is { } mean) days.Add(new(day.Key, mean));
        }
        return days;
    }

    /// <summary>Altitude bins that have winds of the choice's line on the day or the one before, lowest first, with the number of vectors that count.</summary>
    public IReadOnlyList<(int Altitude, int Count)> Altitudes(MissionState mission, CompareChoice choice) =>
        [.. Orbits(mission, choice.Line, choice.Date.AddDays(-1), choice.Date).Bins.SelectMany(o => o.Bins).Where(b => choice.WithDoubtful || !b.Doubtful)
            .GroupBy(b => WindBinGrid.Parts(b.Bin).Altitude).OrderBy(g => g.Key).Select(g => (g.Key, g.Sum(b => b.Count)))];

    private WindBinMeans Means(MissionState mission, CompareChoice choice, DateOnly first, DateOnly last, int? only)
    {
        var (slots, orbits) = Orbits(mission, choice.Line, first, last);
        var means = new WindBinMeans(choice.Component, choice.WithDoubtful);
        foreach (var orbit in orbits.Where(o => only is null || o.Orbit == only)) means.Add(slots[orbit.Orbit].Start.UtcDate.DayNumber, orbit);
        return means;
    }

    /// <summary>Orbits of the choice's day and of the days before it that people hold: their winds are left out of every mean.</summary>
    public IReadOnlyList<int> LeftOut(MissionState mission, CompareChoice choice)
    {
        ArgumentNullException.ThrowIfNull(choice);
        var slots = Slots(mission, choice.Date.AddDays(-choice.Base.Days), choice.Date);
        return slots.Count == 0 ? [] : [.. stores.Holds.Held(slots.Keys.Min(), slots.Keys.Max()).Keys.Where(slots.ContainsKey).Order()];
    }

    private static Dictionary<int, OrbitSlot> Slots(MissionState mission, DateOnly first, DateOnly last)
    {
        var from = Instant.StartOf(first);
        return mission.Orbits.CountsDays ? [] : mission.Orbits.In(from, Instant.StartOf(last.AddDays(1))).Where(o => o.Start >= from).ToDictionary(o => o.Number);
    }

    // Orbits that begin on the days from first to last; those that people hold have no part in means.
    private (Dictionary<int, OrbitSlot> Slots, IReadOnlyList<OrbitWindBins> Bins) Orbits(MissionState mission, string line, DateOnly first, DateOnly last)
    {
        var slots = Slots(mission, first, last);
        if (slots.Count == 0) return (slots, []);
        var held = stores.Holds.Held(slots.Keys.Min(), slots.Keys.Max());
        return (slots, [.. stores.WindBins.Read(slots.Keys.Min(), slots.Keys.Max(), line).Where(b => slots.ContainsKey(b.Orbit) && !held.ContainsKey(b.Orbit))]);
    }
}
