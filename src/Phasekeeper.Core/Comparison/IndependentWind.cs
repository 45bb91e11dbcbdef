using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Comparison;

/// <summary>A wind that someone else measured or modelled.</summary>
/// <param name="Time">When.</param>
/// <param name="LatitudeDeg">Geodetic latitude, degrees.</param>
/// <param name="LongitudeDeg">Longitude, degrees east, −180 to below 180.</param>
/// <param name="AltitudeKm">Height over WGS 84, km.</param>
/// <param name="EastwardMs">Eastward wind, m/s.</param>
/// <param name="NorthwardMs">Northward wind, m/s.</param>
/// <param name="EastwardSigmaMs">1σ, m/s; 0 = not stated.</param>
/// <param name="NorthwardSigmaMs">1σ, m/s; 0 = not stated.</param>
/// <param name="Source">Station or run within the set; empty = one source.</param>
public readonly record struct IndependentWind(
    Instant Time, double LatitudeDeg, double LongitudeDeg, double AltitudeKm, double EastwardMs, double NorthwardMs, double EastwardSigmaMs, double NorthwardSigmaMs, string Source);

/// <summary>Independent winds of one source, time and place, from the lowest altitude up.</summary>
public sealed record WindColumn(IReadOnlyList<IndependentWind> Winds)
{
    /// <summary>When.</summary>
    public Instant Time => Winds[0].Time;
    /// <summary>Latitude, degrees.</summary>
    public double LatitudeDeg => Winds[0].LatitudeDeg;
    /// <summary>Longitude, degrees east.</summary>
    public double LongitudeDeg => Winds[0].LongitudeDeg;

    /// <summary>Columns of winds that are in the order of <see cref="IndependentWindFile"/>.</summary>
    public static IReadOnlyList<WindColumn> Of(IReadOnlyList<IndependentWind> winds)
    {
        var columns = new List<WindColumn>();
        for (int first = 0, end; first < winds.Count; first = end)
        {
            end = first + 1;
            while (end < winds.Count && IsSame(winds[first], winds[end])) end++;
            columns.Add(new([.. Enumerable.Range(first, end - first).Select(i => winds[i])]));
        }
        return columns;
    }

    private static bool IsSame(in IndependentWind a, in IndependentWind b) =>
        a.Time == b.Time && a.Source == b.Source && a.LatitudeDeg == b.LatitudeDeg && a.LongitudeDeg == b.LongitudeDeg;
}
