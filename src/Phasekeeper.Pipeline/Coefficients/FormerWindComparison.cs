using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Winds;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Coefficients;

/// <summary>Winds of a day before a decision beside those of now.</summary>
/// <param name="Changes">Winds that both have, neither bad.</param>
/// <param name="Gained">Winds that were bad or missing and are not now.</param>
/// <param name="Lost">Winds that are bad or missing now and were not.</param>
/// <param name="Orbits">Orbits of the day with winds of before.</param>
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
        foreach (var orbit in stores.Orbits.Touching(start, end).Where(o => o.Start >= start).Select(o => o.Orbit))
        {
            var former = stores.FormerWinds.Read(decision, orbit, orbit);
            if (former.Count == 0) continue;
            orbits++;
            var now = stores.Winds.OfOrbit(orbit).ToDictionary(w => (w.Profile.Time, w.Profile.Exposure, w.Profile.View, w.Profile.Line), w => w.Profile.Rows);
            foreach (var before in former)
            {
                var after = now.GetValueOrDefault((before.Time, before.Exposure, before.View, before.Line)) ?? [];
                for (var r = 0; r < before.Rows.Count; r++)
                {
                    var was = IsUsable(before.Rows[r].Quality, before.Rows[r].WindMs);
                    var isNow = r < after.Count && IsUsable(after[r].Quality, after[r].WindMs);
                    if (was && isNow) changes.Add(new(before.View, before.Line, before.Rows[r].LatitudeDeg, before.Rows[r].AltitudeKm, before.Rows[r].WindMs, after[r].WindMs, after[r].SigmaMs));
                    else if (was) lost++;
                    else if (isNow) gained++;
                }
            }
        }
        return new(changes, gained, lost, orbits);
    }

    private static readonly int UnixEpochDay = new DateOnly(1970, 1, 1).DayNumber;

    private static bool IsUsable(WindQuality quality, double windMs) => quality != WindQuality.Bad && double.IsFinite(windMs);
}
