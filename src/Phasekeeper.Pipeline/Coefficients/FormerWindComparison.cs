using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Winds;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Coefficients;

/// <summary>Winds of a day before a decision beside those of now.</summary>
/// <param name="Changes">Winds that both have, neither bad.</param>
/// <param name="Gained">Winds that were bad or missing and are not now.</param>
/// <param name="Lost">Winds that are bad or missing now and were not.</param>
/// <param name="Orbits">Orbits of the day that the decision made again.</param>
public sealed record DayComparison(IReadOnlyList<WindChange> Changes, int Gained, int Lost, int Orbits);

/// <summary>Lays the winds that were kept of before a decision beside those of now.</summary>
public sealed class FormerWindComparison(Stores stores)
{
    /// <summary>UTC days of which winds of before a decision are kept, in order: the days on which their orbits begin.</summary>
    public IReadOnlyList<DateOnly> Days(long decision)
    {
        var orbits = stores.FormerWinds.Orbits(decision);
        if (orbits.Count == 0) return [];
        var kept = orbits.ToHashSet();
        return [.. stores.Orbits.Rows(orbits[0], orbits[^1]).Where(o => kept.Contains(o.Orbit)).Select(o => o.Start.UtcDate).Distinct().Order()];
    }

    /// <summary>Both versions of one day's orbits.</summary>
    public DayComparison Day(long decision, DateOnly day)
    {
        var start = Instant.FromUnixDay(day.DayNumber - UnixEpochDay, 0);
        var end = Instant.FromUnixDay(day.DayNumber - UnixEpochDay + 1, 0);
        var changes = new List<WindChange>();
        var (gained, lost, orbits) = (0, 0, 0);
        var remade = Remade(decision);
        foreach (var orbit in stores.Orbits.Touching(start, end).Where(o => o.Start >= start).Select(o => o.Orbit))
        {
            var former = stores.FormerWinds.Read(decision, orbit, orbit);
            if (former.Count == 0 && !remade(orbit)) continue;
            orbits++;
            var (more, moreGained, moreLost) = Compare(former, [.. stores.Winds.OfOrbit(orbit).Select(FormerWind.Of)]);
            changes.AddRange(more);
            gained += moreGained;
            lost += moreLost;
        }
        return new(changes, gained, lost, orbits);
    }

    // Orbits that were made again without having had winds before. Where a later decision took some over, it is not known which: then only what was kept counts.
    private Func<int, bool> Remade(long decision)
    {
        if (stores.Reprocessing.All().FirstOrDefault(r => r.Decision == decision) is not { TakenOver: 0, FirstOrbit: { } first, LastOrbit: { } last }) return _ => false;
        var waiting = stores.Reprocessing.Orbits().Select(o => o.Orbit).ToHashSet();
        return orbit => orbit >= first && orbit <= last && !waiting.Contains(orbit);
    }

    /// <summary>Winds of the same exposures, rows and views before and after: changes of those that neither has as bad, and how many are usable in one alone.</summary>
    internal static (IReadOnlyList<WindChange> Changes, int Gained, int Lost) Compare(IEnumerable<FormerWind> before, IEnumerable<FormerWind> after)
    {
        var changes = new List<WindChange>();
        var (gained, lost) = (0, 0);
        var now = after.ToDictionary(w => (w.Time, w.Exposure, w.View, w.Line));
        foreach (var former in before)
        {
            now.Remove((former.Time, former.Exposure, former.View, former.Line), out var there);
            var rows = there?.Rows ?? [];
            for (var r = 0; r < Math.Max(former.Rows.Count, rows.Count); r++)
            {
                var was = r < former.Rows.Count && IsUsable(former.Rows[r].Quality, former.Rows[r].WindMs);
                var isNow = r < rows.Count && IsUsable(rows[r].Quality, rows[r].WindMs);
                if (was && isNow) changes.Add(new(former.View, former.Line, former.Rows[r].LatitudeDeg, former.Rows[r].AltitudeKm, former.Rows[r].WindMs, rows[r].WindMs, rows[r].SigmaMs));
                else if (was) lost++;
                else if (isNow) gained++;
            }
        }
        // Exposures that had no winds at all before.
        gained += now.Values.Sum(w => w.Rows.Count(r => IsUsable(r.Quality, r.WindMs)));
        return (changes, gained, lost);
    }

    private static readonly int UnixEpochDay = new DateOnly(1970, 1, 1).DayNumber;

    private static bool IsUsable(WindQuality quality, double windMs) => quality != WindQuality.Bad && double.IsFinite(windMs);
}
