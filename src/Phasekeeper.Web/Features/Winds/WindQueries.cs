using Phasekeeper.Core.Time;
using Phasekeeper.Core.Winds;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Coefficients;

namespace Phasekeeper.Web.Features.Winds;

/// <summary>A day as the page tells of it.</summary>
/// <param name="Date">UTC day.</param>
/// <param name="Orbits">Orbits that begin on it and have winds.</param>
/// <param name="Counts">Vectors by quality.</param>
/// <param name="SigmaMs">Median 1σ of the good eastward winds by line, m/s.</param>
/// <param name="Previous">The day with winds before it; null for none.</param>
/// <param name="Next">The day with winds after it.</param>
/// <param name="Newest">The newest day with winds.</param>
/// <param name="Provisional">Orbits whose winds may still change.</param>
/// <param name="Old">Which orbits still have winds of a former coefficient set; null when none has.</param>
/// <param name="Held">Orbits of the day whose winds people hold.</param>
/// <param name="DecisionWithBoth">The decision of which the day's winds of before are kept beside those of now; null for none.</param>
public sealed record WindDayView(
    DateOnly Date, IReadOnlyList<OrbitWinds> Orbits, IReadOnlyDictionary<WindQuality, int> Counts, IReadOnlyList<(string Line, double SigmaMs)> SigmaMs, DateOnly? Previous, DateOnly? Next, DateOnly? Newest, int Provisional,
    OldProducts? Old, IReadOnlyList<int> Held, long? DecisionWithBoth);

/// <summary>The place that is chosen within an orbit, line by line.</summary>
/// <param name="Orbit">Its orbit.</param>
/// <param name="Minute">Minutes since the orbit's start.</param>
/// <param name="Vectors">The vector of each line nearest to the height; none for a line without one.</param>
/// <param name="LineOfSight">Winds along both looks of the chosen line's vector, that of the first view first; empty when they are not stored any more.</param>
public sealed record ChosenWind(OrbitWinds Orbit, double Minute, IReadOnlyList<WindVector> Vectors, IReadOnlyList<(string View, long Exposure, LosWind Wind)> LineOfSight);

/// <summary>What the page of winds reads.</summary>
public sealed class WindQueries(Stores stores, WindCache cache)
{
    /// <summary>A day; the newest with winds when <paramref name="date"/> is null. Null without any winds.</summary>
    public WindDayView? Read(MissionState mission, DateOnly? date)
    {
        ArgumentNullException.ThrowIfNull(mission);
        var newest = DayOf(mission, stores.WindBins.Newest());
        if ((date ?? newest) is not { } day) return null;
        var orbits = cache.OfDay(mission, day);
        var vectors = orbits.SelectMany(o => o.Vectors).ToArray();
        var (previous, next) = Beside(mission, day);
        return new(day, orbits, vectors.CountBy(v => v.Quality).ToDictionary(),
            [.. (mission.Instrument?.Lines ?? []).Select(l => (l.Id, Median(vectors.Where(v => v.Line == l.Id && v.Quality == WindQuality.Good).Select(v => v.EastwardSigmaMs))))],
            previous, next, newest, orbits.Count(o => o.Provisional),
            OldProducts.Of(stores, orbits.Select(o => o.Slot.Number)), HeldOf(orbits), OldProducts.DecisionWithBoth(stores, day));
    }

    private int[] HeldOf(IReadOnlyList<OrbitWinds> orbits)
    {
        if (orbits.Count == 0) return [];
        var numbers = orbits.Select(o => o.Slot.Number).ToHashSet();
        return [.. stores.Holds.Held(numbers.Min(), numbers.Max()).Keys.Where(numbers.Contains).Order()];
    }

    /// <summary>The place at a minute and height of an orbit; null when the orbit has no winds.</summary>
    public ChosenWind? Choose(MissionState mission, int orbit, double? minute, string? line, double? altitudeKm)
    {
        ArgumentNullException.ThrowIfNull(mission);
        if (cache.OfOrbit(mission, orbit) is not { Grids.Count: > 0 } winds || mission.Instrument is not { } instrument) return null;
        var at = minute ?? winds.MinuteOf(winds.Vectors.ElementAt(winds.Vectors.Count() / 4).Time);
        var height = altitudeKm ?? DefaultAltitudeKm;
        WindVector[] nearest = [.. instrument.Lines.Select(l => winds.Grids.GetValueOrDefault(l.Id)?.Profile(at).MinBy(v => Math.Abs(v.AltitudeKm - height))).OfType<WindVector>()];
        var chosen = nearest.FirstOrDefault(v => v.Line == line) ?? nearest.FirstOrDefault();
        return new(winds, at, nearest, chosen is null ? [] : Looks(chosen, instrument.Views.Select(v => v.Id).ToArray()));
    }

    /// <summary>Height that is looked at first, km: both lines shine there by day (chosen).</summary>
    public const double DefaultAltitudeKm = 200;

    // The first view's look is the exposure nearest to the place; its row the one nearest in height.
    private List<(string, long, LosWind)> Looks(WindVector v, string[] views)
    {
        var looks = new List<(string, long, LosWind)>();
        foreach (var (view, exposure) in views.Take(2).Zip([v.FirstExposure, v.SecondExposure]))
            if (stores.Winds.Exposure(exposure, v.Time).FirstOrDefault(w => w.Profile.View == view && w.Profile.Line == v.Line) is { } stored
                && stored.Profile.Rows.Where(r => double.IsFinite(r.AltitudeKm)).MinBy(r => Math.Abs(r.AltitudeKm - v.AltitudeKm)) is { } row)
                looks.Add((view, exposure, row));
        return looks;
    }

    private (DateOnly? Previous, DateOnly? Next) Beside(MissionState mission, DateOnly day)
    {
        var slots = mission.Orbits.CountsDays ? [] : mission.Orbits.In(Instant.StartOf(day), Instant.StartOf(day.AddDays(1))).Where(o => o.Start >= Instant.StartOf(day)).ToArray();
        return slots.Length == 0 ? (null, null) : (DayOf(mission, stores.WindBins.Before(slots[0].Number)), DayOf(mission, stores.WindBins.After(slots[^1].Number)));
    }

    private static DateOnly? DayOf(MissionState mission, int? orbit) => orbit is { } number && mission.Orbits.Of(number) is { } slot ? slot.Start.UtcDate : null;

    private static double Median(IEnumerable<double> values) => values.Order().ToArray() is { Length: > 0 } sorted ? sorted[sorted.Length / 2] : double.NaN;
}
