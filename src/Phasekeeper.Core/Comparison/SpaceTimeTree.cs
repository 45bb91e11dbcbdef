namespace Phasekeeper.Core.Comparison;

/// <summary>
/// Points on a sphere and in time, to find the one of least cost d² + t² where d is the great-circle distance and t the time between, each in units of its own scale. A k-d tree (J. L. Bentley (1975), Comm. ACM 18,
/// 509, doi 10.1145/361002.361007) over the unit vector and the time: the chord never exceeds the great circle, so it bounds the cost of a whole box from below. Costs themselves come from the caller: the tree
/// only tells which points need not be looked at, and a box counts as nearer than it is by more than rounding can make it seem farther, so its answer is that of a look at all of them.
/// </summary>
internal sealed class SpaceTimeTree
{
    private const int Dimensions = 4;
    private const int LeafSize = 16; // chosen: the smallest that no longer costs more in boxes than it saves in points
    // In squares of the scales. Times of 30 years in units of half an hour are rounded to 6e-11, vectors to 1e-14: the square of a gap of a few units is then right to 1e-9.
    private const double Margin = 1e-8;

    private readonly double[] _points; // four a point, in the order of the points given
    private readonly int[] _order;
    private readonly List<double> _boxes = []; // eight a node: least and greatest of each dimension
    private readonly List<int> _second = []; // node of a node's second half; that of the first half follows the node itself

    /// <summary>Sorts points.</summary>
    /// <param name="points">x, y and z over the distance scale, and time over the time scale, of one point after the other.</param>
    public SpaceTimeTree(double[] points)
    {
        _points = points;
        _order = [.. Enumerable.Range(0, points.Length / Dimensions)];
        if (_order.Length > 0) Build(0, _order.Length);
    }

    /// <summary>Number of the point of least cost, the smallest number where several cost the same; −1 when none has a finite cost.</summary>
    /// <param name="place">x, y, z and time of the place, scaled as the points are.</param>
    /// <param name="farthest">Greatest distance, in units of its scale.</param>
    /// <param name="longest">Greatest time between, in units of its scale.</param>
    /// <param name="cost">Cost of a point by its number; infinite for one that is not to be taken. Never less than the chord's.</param>
    public int Cheapest(ReadOnlySpan<double> place, double farthest, double longest, Func<int, double> cost)
    {
        var search = new Search(place, farthest * farthest + Margin, longest * longest + Margin, cost);
        if (_order.Length > 0) Visit(ref search, 0, 0, _order.Length);
        return search.Found;
    }

    private ref struct Search(ReadOnlySpan<double> place, double farthest2, double longest2, Func<int, double> cost)
    {
        public readonly ReadOnlySpan<double> Place = place;
        public readonly double Farthest2 = farthest2, Longest2 = longest2;
        public readonly Func<int, double> Cost = cost;
        public double Best = double.PositiveInfinity;
        public int Found = -1;
    }

    private int Build(int first, int end)
    {
        var node = _second.Count;
        _second.Add(0);
        for (var k = 0; k < Dimensions; k++)
        {
            double least = double.PositiveInfinity, greatest = double.NegativeInfinity;
            for (var i = first; i < end; i++)
            {
                var value = _points[_order[i] * Dimensions + k];
                (least, greatest) = (Math.Min(least, value), Math.Max(greatest, value));
            }
            _boxes.Add(least);
            _boxes.Add(greatest);
        }
        if (end - first <= LeafSize) return node;
        var widest = Enumerable.Range(0, Dimensions).MaxBy(k => _boxes[Box(node, k) + 1] - _boxes[Box(node, k)]);
        var keys = new double[end - first];
        for (var i = first; i < end; i++) keys[i - first] = _points[_order[i] * Dimensions + widest];
        keys.AsSpan().Sort(_order.AsSpan(first, end - first));
        var middle = (first + end) / 2;
        Build(first, middle);
        _second[node] = Build(middle, end);
        return node;
    }

    private static int Box(int node, int dimension) => (node * Dimensions + dimension) * 2;

    private void Visit(ref Search search, int node, int first, int end)
    {
        if (end - first <= LeafSize)
        {
            for (var i = first; i < end; i++)
            {
                var number = _order[i];
                var cost = search.Cost(number);
                if (cost < search.Best || (cost == search.Best && number < search.Found)) (search.Best, search.Found) = (cost, number);
            }
            return;
        }
        var middle = (first + end) / 2;
        var (a, b) = (node + 1, _second[node]);
        var (boundA, boundB) = (Bound(search, a), Bound(search, b));
        if (boundB < boundA)
        {
            if (boundB <= search.Best) Visit(ref search, b, middle, end);
            if (boundA <= search.Best) Visit(ref search, a, first, middle);
        }
        else
        {
            if (boundA <= search.Best) Visit(ref search, a, first, middle);
            if (boundB <= search.Best) Visit(ref search, b, middle, end);
        }
    }

    // Least cost that a point of a node can have; not a number, which no comparison lets through, where all are beyond the limits.
    private double Bound(in Search search, int node)
    {
        double space = 0, time = 0;
        for (var k = 0; k < Dimensions; k++)
        {
            var box = Box(node, k);
            var gap = Math.Max(0, Math.Max(_boxes[box] - search.Place[k], search.Place[k] - _boxes[box + 1]));
            if (k < Dimensions - 1) space += gap * gap;
            else time = gap * gap;
        }
        return space > search.Farthest2 || time > search.Longest2 ? double.NaN : space + time - Margin;
    }
}
