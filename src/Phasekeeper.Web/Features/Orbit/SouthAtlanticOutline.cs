using System.Collections.Concurrent;
using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Web.Features.Orbit;

/// <summary>Outline of the South Atlantic region: where |B| equals <see cref="GeomagneticField.SouthAtlanticLimitNanotesla"/> at a height, by marching squares on a grid.</summary>
internal static class SouthAtlanticOutline
{
    private const int StepDeg = 3;
    private const double HeightStepM = 25_000;
    private static readonly ConcurrentDictionary<(int Height, int Year), (double, double)[]> Known = new();

    /// <summary>Pieces of the outline as longitude, latitude in degrees; a latitude of NaN ends a piece. Height to the nearest 25 km, year to the nearest.</summary>
    public static IReadOnlyList<(double LongitudeDeg, double LatitudeDeg)> At(double altitudeM, Instant time) =>
        Known.GetOrAdd(((int)Math.Round(altitudeM / HeightStepM), time.UtcDate.Year), key => [.. Pieces(key.Height * HeightStepM, key.Year)]);

    private static IEnumerable<(double, double)> Pieces(double altitudeM, int year)
    {
        const int columns = 360 / StepDeg, rows = 180 / StepDeg;
        var excess = new double[rows + 1, columns + 1];
        for (var r = 0; r <= rows; r++)
            for (var c = 0; c <= columns; c++)
                excess[r, c] = GeomagneticField.At(new Geodetic(Latitude(r) * (Math.PI / 180), Longitude(c) * (Math.PI / 180), altitudeM), year + 0.5).TotalNanotesla
                    - GeomagneticField.SouthAtlanticLimitNanotesla;
        for (var r = 0; r < rows; r++)
            for (var c = 0; c < columns; c++)
            {
                var crossings = new List<(double, double)>();
                Edge(excess[r, c], excess[r, c + 1], t => (Longitude(c) + t * StepDeg, Latitude(r)));
                Edge(excess[r, c + 1], excess[r + 1, c + 1], t => (Longitude(c) + StepDeg, Latitude(r) + t * StepDeg));
                Edge(excess[r + 1, c], excess[r + 1, c + 1], t => (Longitude(c) + t * StepDeg, Latitude(r) + StepDeg));
                Edge(excess[r, c], excess[r + 1, c], t => (Longitude(c), Latitude(r) + t * StepDeg));
                if (crossings.Count < 2) continue;
                yield return crossings[0];
                yield return crossings[1];
                yield return (crossings[1].Item1, double.NaN);

                void Edge(double a, double b, Func<double, (double, double)> at)
                {
                    if (a < 0 != b < 0) crossings.Add(at(a / (a - b)));
                }
            }
    }

    private static double Latitude(int row) => -90 + row * StepDeg;

    private static double Longitude(int column) => -180 + column * StepDeg;
}
