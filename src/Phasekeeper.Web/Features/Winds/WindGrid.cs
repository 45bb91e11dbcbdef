using Phasekeeper.Core.Winds;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.Winds;

/// <summary>
/// Vectors of one orbit and line over minutes since its start × altitude. Each cell shows the vector that was measured there: an exposure has a column, and each height the row whose tangent point is
/// nearest; nothing is interpolated.
/// </summary>
public sealed class WindGrid
{
    private readonly WindVector?[,] cells;

    private WindGrid(double[] minutes, double[] altitudesKm, WindVector?[,] cells, WindVector[] vectors) => (Minutes, AltitudesKm, this.cells, Vectors) = (minutes, altitudesKm, cells, vectors);

    /// <summary>Middles of the columns, minutes, evenly spaced.</summary>
    public double[] Minutes { get; }

    /// <summary>Middles of the rows, km, lowest first, evenly spaced.</summary>
    public double[] AltitudesKm { get; }

    /// <summary>All vectors.</summary>
    public IReadOnlyList<WindVector> Vectors { get; }

    /// <summary>The vector of a cell; null where there is none.</summary>
    public WindVector? this[int row, int column] => cells[row, column];

    /// <summary>Values of all cells, [row][column], NaN where there is none.</summary>
    public IReadOnlyList<IReadOnlyList<double>> Values(Func<WindVector, double> value) =>
        [.. Enumerable.Range(0, AltitudesKm.Length).Select(r => (IReadOnlyList<double>)[.. Enumerable.Range(0, Minutes.Length).Select(c => cells[r, c] is { } v ? value(v) : double.NaN)])];

    /// <summary>Quality of all cells as <see cref="Shared.Plots.PlotTrace.Quality"/> wants it.</summary>
    public IReadOnlyList<string> Quality() =>
        [.. Enumerable.Range(0, AltitudesKm.Length).Select(r => string.Concat(Enumerable.Range(0, Minutes.Length).Select(c => cells[r, c] is { } v ? (char)('0' + (int)v.Quality) : ' ')))];

    /// <summary>The exposure's vectors nearest to a minute, lowest first; empty when there is none within two columns.</summary>
    public IReadOnlyList<WindVector> Profile(double minute)
    {
        if (Minutes.Length == 0) return [];
        var nearest = Enumerable.Range(0, Minutes.Length).Where(c => Enumerable.Range(0, AltitudesKm.Length).Any(r => cells[r, c] is not null)).OrderBy(c => Math.Abs(Minutes[c] - minute)).ThenBy(c => c).FirstOrDefault(-1);
        if (nearest < 0 || Math.Abs(Minutes[nearest] - minute) > 2.5 * Step(Minutes)) return [];
        var exposure = Enumerable.Range(0, AltitudesKm.Length).Select(r => cells[r, nearest]).First(v => v is not null)!.SecondExposure;
        return [.. Vectors.Where(v => v.SecondExposure == exposure).OrderBy(v => v.AltitudeKm)];
    }

    /// <summary>Arranges an orbit's vectors of one line.</summary>
    public static WindGrid Of(OrbitSlot slot, double cadenceS, IReadOnlyList<StoredWindVectors> stored)
    {
        var exposures = stored.OrderBy(s => s.ExposureTime).ThenBy(s => s.Exposure).Select(s => s.Vectors.OrderBy(v => v.AltitudeKm).ToArray()).Where(v => v.Length > 0).ToArray();
        if (exposures.Length == 0) return new([], [], new WindVector?[0, 0], []);
        var spacing = StepKm(exposures);
        var lowest = Math.Floor(exposures.Min(e => e[0].AltitudeKm) / spacing) * spacing;
        var rows = (int)Math.Floor((exposures.Max(e => e[^1].AltitudeKm) - lowest) / spacing) + 1;
        double[] seconds = [.. exposures.Select(e => e[e.Length / 2].Time - slot.Start)];
        var first = Math.Floor(seconds.Min() / cadenceS) * cadenceS;
        var columns = (int)Math.Floor((seconds.Max() - first) / cadenceS) + 2;
        var cells = new WindVector?[rows, columns];
        var taken = new bool[columns];
        for (var e = 0; e < exposures.Length; e++)
        {
            var column = Free(taken, (int)Math.Floor((seconds[e] - first) / cadenceS));
            if (column < 0) continue;
            taken[column] = true;
            for (var r = 0; r < rows; r++)
                cells[r, column] = Holder(exposures[e], lowest + (r + 0.5) * spacing, spacing);
        }
        return new([.. Enumerable.Range(0, columns).Select(c => (first + (c + 0.5) * cadenceS) / 60)], [.. Enumerable.Range(0, rows).Select(r => lowest + (r + 0.5) * spacing)], cells, [.. exposures.SelectMany(e => e)]);
    }

    // Times between the looks change along the orbit, so that two exposures may fall into one column while its neighbour stays free.
    private static int Free(bool[] taken, int wanted)
    {
        foreach (var shift in (ReadOnlySpan<int>)[0, 1, -1])
            if (wanted + shift >= 0 && wanted + shift < taken.Length && !taken[wanted + shift]) return wanted + shift;
        return -1;
    }

    // Smallest usual distance of neighbouring rows, to half a kilometre: rows that lie further apart fill several cells.
    private static double StepKm(WindVector[][] exposures)
    {
        double[] steps = [.. exposures.SelectMany(e => e.Zip(e.Skip(1), (a, b) => b.AltitudeKm - a.AltitudeKm)).Where(s => s > 0.1).Order()];
        return steps.Length == 0 ? 10 : Math.Max(4, Math.Round(2 * steps[steps.Length / 10]) / 2);
    }

    // The vector whose stretch of heights holds one: to half way to the next row, and as far beyond the ends; a row that is missing leaves its stretch empty beyond the reach of a usual spacing.
    private static WindVector? Holder(WindVector[] profile, double altitudeKm, double stepKm)
    {
        var i = 0;
        while (i + 1 < profile.Length && Math.Abs(profile[i + 1].AltitudeKm - altitudeKm) < Math.Abs(profile[i].AltitudeKm - altitudeKm)) i++;
        var (below, above) = (Gap(i - 1), Gap(i));
        var reach = altitudeKm < profile[i].AltitudeKm ? below : above;
        return Math.Abs(profile[i].AltitudeKm - altitudeKm) <= Math.Max(0.5 * reach, 0.55 * stepKm) ? profile[i] : null;

        // Distance between rows k and k + 1, per detector row; at an end that of the neighbour.
        double Gap(int k)
        {
            k = Math.Clamp(k, 0, Math.Max(0, profile.Length - 2));
            return profile.Length < 2 ? stepKm : (profile[k + 1].AltitudeKm - profile[k].AltitudeKm) / Math.Max(1, Math.Abs(profile[k + 1].Row - profile[k].Row));
        }
    }

    private static double Step(double[] values) => values.Length > 1 ? values[1] - values[0] : 1;
}
