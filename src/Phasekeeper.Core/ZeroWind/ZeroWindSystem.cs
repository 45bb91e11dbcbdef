using Phasekeeper.Core.Statistics;
using Phasekeeper.Core.Winds;

namespace Phasekeeper.Core.ZeroWind;

/// <summary>
/// Normal equations of the offsets of V views after each bin's u and v are eliminated (partitioned least squares: Golub and Van Loan, Matrix Computations, 4th ed. (2013), section 6.1; also known as
/// the Schur complement). With x̃ = e_view − G·(sin az, cos az), G = X·N⁻¹ of the cell's bin, the offsets are <c>A⁻¹ Σ w·x̃·wind</c>.
/// </summary>
internal sealed class ZeroWindSystem
{
    private const double LeastWindInformation = 0.02; // det N against (W/2)²: below it the looks do not span the plane

    private readonly DayCell[] _cells;
    private readonly double[] _weight, _reduced; // w and x̃ of each cell; w = 0: its bin is left out
    private readonly int _views;

    private ZeroWindSystem(DayCell[] cells, int views)
    {
        (_cells, _views) = (cells, views);
        (_weight, _reduced) = (new double[cells.Length], new double[cells.Length * views]);
        Normal = new double[views * views];
        Usable = [];
    }

    /// <summary>A, V × V.</summary>
    public double[] Normal { get; }
    /// <summary>Σ w of the used cells of each view would be the information of known winds: their sum.</summary>
    public double TotalWeight { get; private set; }
    /// <summary>Bins that are used: first cell, end.</summary>
    public List<(int First, int End)> Usable { get; }
    /// <summary>A⁻¹; null when A is singular.</summary>
    public double[]? Inverse { get; private set; }

    /// <summary>Weight of a cell; 0 when its bin is left out.</summary>
    public double WeightOf(int cell) => _weight[cell];

    /// <summary>x̃ of a cell.</summary>
    public ReadOnlySpan<double> ReducedOf(int cell) => _reduced.AsSpan(cell * _views, _views);

    /// <summary>Prepares the system; <paramref name="dailySigmaMs"/> is the wind's σ from day to day in each altitude bin.</summary>
    public static ZeroWindSystem Prepare(DayCell[] cells, int views, double[] dailySigmaMs, double leastInformation)
    {
        var system = new ZeroWindSystem(cells, views);
        for (int first = 0, end; first < cells.Length; first = end)
        {
            end = first + 1;
            while (end < cells.Length && cells[end].Bin == cells[first].Bin) end++;
            system.AddBin(first, end, dailySigmaMs[ZeroWindGrid.AltitudeOf(cells[first].Bin)], leastInformation);
        }
        var factor = (double[])system.Normal.Clone();
        if (system.Usable.Count > 0 && SmallMatrix.TryFactor(factor, views) is not null)
        {
            var inverse = new double[views * views];
            for (var j = 0; j < views; j++)
            {
                inverse[j * views + j] = 1;
                SmallMatrix.Solve(factor, views, inverse.AsSpan(j * views, views));
            }
            system.Inverse = inverse;
        }
        return system;
    }

    /// <summary>Offsets that explain the values, one a cell; V numbers.</summary>
    public double[] Solve(Func<DayCell, double> value)
    {
        var right = new double[_views];
        for (var i = 0; i < _cells.Length; i++)
        {
            if (_weight[i] == 0) continue;
            var wy = _weight[i] * value(_cells[i]);
            for (var v = 0; v < _views; v++) right[v] += wy * _reduced[i * _views + v];
        }
        return Multiply(Inverse!, right);
    }

    /// <summary>A⁻¹·b for V numbers.</summary>
    public double[] Multiply(double[] matrix, double[] vector)
    {
        var result = new double[_views];
        for (var i = 0; i < _views; i++)
            for (var j = 0; j < _views; j++) result[i] += matrix[i * _views + j] * vector[j];
        return result;
    }

    /// <summary>Residuals of the cells of a usable bin, with its best u and v, given the offsets.</summary>
    public void Residuals((int First, int End) bin, double[] offsets, double[] residual)
    {
        double uu = 0, uv = 0, vv = 0, yu = 0, yv = 0;
        for (var i = bin.First; i < bin.End; i++)
        {
            var c = _cells[i];
            double w = _weight[i], y = c.WindMs - offsets[c.View];
            uu += w * c.Sin * c.Sin;
            uv += w * c.Sin * c.Cos;
            vv += w * c.Cos * c.Cos;
            yu += w * c.Sin * y;
            yv += w * c.Cos * y;
        }
        var det = uu * vv - uv * uv;
        double u = (vv * yu - uv * yv) / det, v = (uu * yv - uv * yu) / det;
        for (var i = bin.First; i < bin.End; i++)
        {
            var c = _cells[i];
            residual[i] = c.WindMs - offsets[c.View] - u * c.Sin - v * c.Cos;
        }
    }

    private void AddBin(int first, int end, double dailySigmaMs, double leastInformation)
    {
        double uu = 0, uv = 0, vv = 0, total = 0;
        var cross = new double[_views * 2];
        var own = new double[_views];
        for (var i = first; i < end; i++)
        {
            var c = _cells[i];
            var w = 1 / (dailySigmaMs * dailySigmaMs + c.VarianceM2S2);
            total += w;
            uu += w * c.Sin * c.Sin;
            uv += w * c.Sin * c.Cos;
            vv += w * c.Cos * c.Cos;
            cross[2 * c.View] += w * c.Sin;
            cross[2 * c.View + 1] += w * c.Cos;
            own[c.View] += w;
        }
        var det = uu * vv - uv * uv;
        if (det < LeastWindInformation * total * total / 4) return;
        var g = new double[_views * 2];
        for (var v = 0; v < _views; v++)
        {
            g[2 * v] = (cross[2 * v] * vv - cross[2 * v + 1] * uv) / det;
            g[2 * v + 1] = (cross[2 * v + 1] * uu - cross[2 * v] * uv) / det;
        }
        var part = new double[_views * _views];
        for (var a = 0; a < _views; a++)
            for (var b = 0; b < _views; b++)
                part[a * _views + b] = (a == b ? own[a] : 0) - 0.5 * (g[2 * a] * cross[2 * b] + g[2 * a + 1] * cross[2 * b + 1] + g[2 * b] * cross[2 * a] + g[2 * b + 1] * cross[2 * a + 1]);
        if (SymmetricEigenvalues.Of(part, _views)[0] < leastInformation * total) return;
        for (var k = 0; k < part.Length; k++) Normal[k] += part[k];
        TotalWeight += total;
        Usable.Add((first, end));
        for (var i = first; i < end; i++)
        {
            var c = _cells[i];
            _weight[i] = 1 / (dailySigmaMs * dailySigmaMs + c.VarianceM2S2);
            for (var v = 0; v < _views; v++) _reduced[i * _views + v] = (v == c.View ? 1 : 0) - g[2 * v] * c.Sin - g[2 * v + 1] * c.Cos;
        }
    }
}
