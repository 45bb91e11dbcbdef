namespace Phasekeeper.Storage;

/// <summary>The grid a + b·k on which the values of a linearly calibrated counter lie, to a few last bits.</summary>
internal readonly record struct StepGrid(double Origin, double Step)
{
    // Chosen: calibrations round at most a few times; 64 units of the last place of the largest value cover them.
    private const double RoundingUnits = 64;
    private const long LargestIndex = 1L << 31;

    public long IndexOf(double value) => (long)Math.Round((value - Origin) / Step);

    // Two roundings in a fixed order: no fused multiply-add, so that every machine gets the same bits.
    public double ValueAt(long index)
    {
        var product = Step * index;
        return Origin + product;
    }

    /// <summary>The grid of values; null when they lie on none (or on one so fine that it says nothing).</summary>
    public static StepGrid? Find(double[] values)
    {
        if (values.Length < 4 || Array.Exists(values, v => !double.IsFinite(v) || (v == 0 && double.IsNegative(v)))) return null;
        var distinct = values.Distinct().Order().ToArray();
        if (distinct.Length < 2) return null;
        var largest = Math.Max(Math.Abs(distinct[0]), Math.Abs(distinct[^1]));
        var rounding = RoundingUnits * (Math.BitIncrement(largest) - largest);
        double step = 0;
        for (var i = 1; i < distinct.Length; i++)
        {
            step = CommonStep(step, distinct[i] - distinct[i - 1], rounding);
            if (step <= 8 * rounding) return null;
        }
        var span = distinct[^1] - distinct[0];
        var steps = Math.Round(span / step);
        if (!(steps < LargestIndex)) return null;
        var grid = new StepGrid(distinct[0], span / steps);
        foreach (var value in distinct)
            if (Math.Abs(value - grid.ValueAt(grid.IndexOf(value))) > rounding) return null;
        return grid;
    }

    // Euclid's algorithm for numbers that are multiples of a common step only to their rounding.
    private static double CommonStep(double a, double b, double rounding)
    {
        while (b > rounding)
        {
            var remainder = a % b;
            if (b - remainder <= rounding) remainder = 0;
            (a, b) = (b, remainder);
        }
        return a;
    }
}
