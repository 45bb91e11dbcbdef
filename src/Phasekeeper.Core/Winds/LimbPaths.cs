using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Limb;

namespace Phasekeeper.Core.Winds;

/// <summary>
/// Quadrature along the lines of sight of one view and exposure through layers between the rows' tangent heights. Prepared once and used for every line of the
/// exposure; nothing of the emission enters.
/// <para>
/// Each ray is cut where it meets a tangent height of a higher row and, above the top row, at fixed heights up to <see cref="ReachAboveTopKm"/>. Every piece has two to four
/// Gauss–Legendre points in path length (four next to the tangent point and across wide layers), on which a function of height is smooth even at the tangent point. The piece before and the piece after the
/// tangent point are folded into one (their heights at the same share of the piece differ by less than a metre over the ellipsoid), so a point stands for two places,
/// ±x from the tangent point. Heights and slopes are those over WGS 84. Path lengths of shells meet closed forms to 1e-6 km (test
/// Shell_path_lengths_meet_the_closed_form).
/// </para>
/// </summary>
public sealed class LimbPaths
{
    /// <summary>Height above the top row up to which emission is counted, km (seven scale heights of 45 km).</summary>
    public const double ReachAboveTopKm = 320;

    private static readonly double[] AboveTopKm = [15, 35, 65, 110, 190, ReachAboveTopKm];
    private const int UnseenHeights = 4;

    // Gauss–Legendre on 0…1: Abramowitz and Stegun, table 25.4. Two points integrate an emission that falls to 1/e across the piece within 3e-4, three within 1e-6.
    private static readonly (double[] X, double[] W)[] Gauss =
    [
        ([0.2113248654051871, 0.7886751345948129], [0.5, 0.5]),
        ([0.1127016653792583, 0.5, 0.8872983346207417], [0.2777777777777778, 0.4444444444444444, 0.2777777777777778]),
        ([0.0694318442029737, 0.3300094782075719, 0.6699905217924281, 0.9305681557970263], [0.1739274225687269, 0.3260725774312731, 0.3260725774312731, 0.1739274225687269]),
    ];
    private const double TwoPointsKm = 8, ThreePointsKm = 16;

    private LimbPaths(int[] rowOfNode, double[] heightKm, LookSample[]? looks, int points, int pieces)
    {
        (RowOfNode, HeightKm, Looks) = (rowOfNode, heightKm, looks);
        WindHeightKm = [.. heightKm, .. AboveTopKm.Take(UnseenHeights).Select(a => heightKm[^1] + a)];
        Start = new int[heightKm.Length + 1];
        (Layer, Share, AboveKm, LengthKm) = (new int[points], new double[points], new double[points], new double[points]);
        (Projection, OffsetMm, SquareMm2) = (new double[points], new double[points], new double[points]);
        (Bend0, Bend1) = (new double[points], new double[points]);
        (PieceStart, RowPiece) = (new int[pieces + 1], new int[heightKm.Length + 1]);
    }

    /// <summary>Number of heights: rows with a tangent point, from the lowest up.</summary>
    public int Count => HeightKm.Length;
    /// <summary>Detector row of each height.</summary>
    public int[] RowOfNode { get; }
    /// <summary>Tangent heights, ascending, km.</summary>
    public double[] HeightKm { get; }

    /// <summary>Heights at which the wind is an unknown: the tangent heights, and four above the top row of which only the prior and the light from above tell.</summary>
    public double[] WindHeightKm { get; }

    internal LookSample[]? Looks { get; }
    /// <summary>First point of each ray; the last entry is the number of points.</summary>
    public int[] Start { get; }
    /// <summary>Per point: it lies between the wind heights of this number and the next.</summary>
    public int[] Layer { get; }
    /// <summary>Per point: 0 at the layer's lower height, 1 at its upper.</summary>
    public double[] Share { get; }
    /// <summary>Per point: height above the top row, km; 0 below it.</summary>
    public double[] AboveKm { get; }
    /// <summary>Per point: path length that it stands for, both sides of the tangent point together, km.</summary>
    public double[] LengthKm { get; }
    /// <summary>Per point: cosine of the ray's elevation over the local horizontal, which turns horizontal wind along the ray into speed along the ray.</summary>
    public double[] Projection { get; }
    internal double[] OffsetMm { get; } // mean distance along the ray from where the profile was measured at that height, 1000 km
    internal double[] SquareMm2 { get; } // square of the distance from the tangent point, (1000 km)²
    internal double[] Bend0 { get; }   // weights of the second derivatives in a cubic spline, km²
    internal double[] Bend1 { get; }
    internal int[] PieceStart { get; } // first point of each piece of a ray between two heights: its points share the layer
    internal int[] RowPiece { get; }   // first piece of each ray
    internal ProfilePriors? Priors { get; set; }

    /// <summary>Path geometry of a view's rows; null with fewer than three rows that pass a tangent point at distinct heights (0.2 km).</summary>
    public static LimbPaths? TryBuild(IReadOnlyList<LookSample> looks)
    {
        var nodes = new List<int>();
        foreach (var row in Enumerable.Range(0, looks.Count).Where(r => looks[r].Outcome == LookOutcome.Tangent && double.IsFinite(looks[r].TangentAltitudeM)).OrderBy(r => looks[r].TangentAltitudeM))
            if (nodes.Count == 0 || looks[row].TangentAltitudeM - looks[nodes[^1]].TangentAltitudeM > 200) nodes.Add(row);
        if (nodes.Count < 3) return null;
        LookSample[] used = [.. nodes.Select(r => looks[r])];
        return Build([.. used.Select(l => new Wgs84Ray(l))], [.. nodes], [.. used.Select(l => l.TangentAltitudeM * 1e-3)], used);
    }

    /// <summary>Path geometry over a sphere for tangent heights in ascending order, km: for checks against closed forms.</summary>
    public static LimbPaths OnSphere(double radiusKm, IReadOnlyList<double> tangentHeightKm) =>
        Build([.. tangentHeightKm.Select(h => new SphereRay(radiusKm * 1e3, h * 1e3))], [.. Enumerable.Range(0, tangentHeightKm.Count)], [.. tangentHeightKm], null);

    private static LimbPaths Build<TRay>(TRay[] rays, int[] rowOfNode, double[] heightKm, LookSample[]? looks) where TRay : ILimbRay
    {
        var n = heightKm.Length;
        // Points of the piece that ends at boundary b of ray r.
        (double[] X, double[] W) Rule(int r, int b)
        {
            var width = b < n ? heightKm[b] - heightKm[b - 1] : AboveTopKm[b - n] - (b > n ? AboveTopKm[b - n - 1] : 0);
            return Gauss[b == r + 1 || b == n + AboveTopKm.Length - 1 ? 2 : b >= n || width <= ThreePointsKm ? b < n && width <= TwoPointsKm ? 0 : 1 : 2];
        }
        int points = 0, pieces = 0;
        for (var r = 0; r < n; r++)
            for (var b = r + 1; b < n + AboveTopKm.Length; b++, pieces++) points += Rule(r, b).X.Length;
        var paths = new LimbPaths(rowOfNode, heightKm, looks, points, pieces);
        var known = paths.WindHeightKm;
        int q = 0, piece = 0;
        Span<double> displacedMm = stackalloc double[n];
        for (var r = 0; r < n; r++)
        {
            paths.Start[r] = q;
            paths.RowPiece[r] = piece;
            var ray = new SmoothRay(rays[r], ReachM(heightKm[r], heightKm[n - 1] + AboveTopKm[^1]));
            for (var k = 0; k < n; k++)
                displacedMm[k] = looks is null ? 0 : Vec3.Dot(looks[k].TangentEcefM - looks[r].TangentEcefM, looks[r].DirectionEcef) * 1e-6;
            double before = 0, after = 0;
            for (var b = r + 1; b < n + AboveTopKm.Length; b++)
            {
                var inLayers = b < n;
                var boundaryM = 1e3 * (inLayers ? heightKm[b] : heightKm[n - 1] + AboveTopKm[b - n]);
                var nextBefore = Crossing(ray, boundaryM, -1);
                var nextAfter = Crossing(ray, boundaryM, 1);
                var (gaussX, gaussW) = Rule(r, b);
                paths.PieceStart[piece++] = q;
                for (var g = 0; g < gaussX.Length; g++, q++)
                {
                    double s1 = before + gaussX[g] * (nextBefore - before), s2 = after + gaussX[g] * (nextAfter - after);
                    var (h1, sin1) = ray.At(s1);
                    var (h2, sin2) = ray.At(s2);
                    var height = 0.5e-3 * (h1 + h2);
                    paths.LengthKm[q] = 1e-3 * gaussW[g] * (before - nextBefore + nextAfter - after);
                    paths.Projection[q] = 0.5 * (Math.Sqrt(1 - sin1 * sin1) + Math.Sqrt(1 - sin2 * sin2));
                    paths.SquareMm2[q] = 0.5e-12 * (s1 * s1 + s2 * s2);
                    var layer = Math.Min(b - 1, known.Length - 2);
                    var width = known[layer + 1] - known[layer];
                    var share = Math.Clamp((height - known[layer]) / width, 0, 1); // beyond the last height the wind stays
                    var (lower, upper) = (Math.Min(layer, n - 1), Math.Min(layer + 1, n - 1));
                    paths.Layer[q] = layer;
                    paths.Share[q] = share;
                    paths.AboveKm[q] = inLayers ? 0 : Math.Max(height - heightKm[n - 1], 1e-9);
                    paths.OffsetMm[q] = 0.5e-6 * (s1 + s2) - ((1 - share) * displacedMm[lower] + share * displacedMm[upper]);
                    var rest = 1 - share;
                    paths.Bend0[q] = (rest * rest * rest - rest) * width * width / 6;
                    paths.Bend1[q] = (share * share * share - share) * width * width / 6;
                }
                (before, after) = (nextBefore, nextAfter);
            }
        }
        paths.Start[n] = q;
        (paths.RowPiece[n], paths.PieceStart[piece]) = (piece, q);
        return paths;
    }

    // Distance at which a ray meets a height above its tangent point: Newton steps on height, from the sphere's answer.
    private static double Crossing(in SmoothRay ray, double heightM, int side)
    {
        var s = side * ReachM(1e-3 * ray.At(0).HeightM, 1e-3 * heightM);
        for (var step = 0; step < 6; step++)
        {
            var (height, sin) = ray.At(s);
            var change = (heightM - height) / sin;
            s += change;
            if (Math.Abs(change) < 0.01) break;
        }
        return s;
    }

    // Distance from a tangent point at which a ray over a sphere meets a height.
    private static double ReachM(double tangentKm, double heightKm) => 1e3 * Math.Sqrt(Math.Max(0, (heightKm - tangentKm) * (2 * 6371 + heightKm + tangentKm)));
}
