using System.Globalization;
using Phasekeeper.Demo.Tests.Winds;

namespace Phasekeeper.Benchmarks;

/// <summary>Table of <see cref="SeedPool"/>.</summary>
internal static class WindSurvey
{
    public static void Print(TextWriter output, ulong firstSeed, int seeds)
    {
        var pool = new SeedPool(firstSeed, seeds);
        output.WriteLine(Text($"Good winds of scenario seeds {firstSeed} to {firstSeed + (ulong)seeds - 1}, {SeedPool.Hours} h from hour {SeedPool.FromHours} each, against what was put in. ± is the 1σ of the mean over seeds."));
        output.WriteLine("line  light    altitude km | seeds      n | bias m/s        | 68 % m/s | error/σ kernel, least–largest seed | point | σ m/s  resolution km");
        foreach (var c in pool.Cells)
            output.WriteLine(Text($"{c.Line,-5} {c.Light,-8} {c.LowKm,3}–{c.HighKm,-8} | {c.Seeds.Count,5} {c.Count,6} | {c.BiasMs.Value,6:0.00} ± {c.BiasMs.Sigma,5:0.00} | {c.Seeds.Average(f => f.Point68Ms),8:0.00} | {c.KernelRatio.Value,6:0.000} ± {c.KernelRatio.Sigma,5:0.000}, {c.Seeds.Min(f => f.KernelRatio):0.00}–{c.Seeds.Max(f => f.KernelRatio):0.00} | {c.PointRatio.Value,5:0.000} | {c.Seeds.Average(f => f.SigmaMs),5:0.0} {c.Seeds.Average(f => f.ResolutionKm),14:0.0}"));
        output.WriteLine("\nGood vectors by day and night. Kernel: against the truth through both looks' averaging kernels, solved as the winds are, with σ less smoothing and less what the wind does between the looks; point: against the wind at the point.");
        output.WriteLine("line  truth  | seeds      n | mean east       north           | error/σ east    north           | χ²/2");
        foreach (var (line, all) in pool.Vectors)
            foreach (var (truth, of) in new (string, Func<VectorFigures, VectorErrors>)[] { ("kernel", v => v.Kernel), ("point", v => v.Point) })
            {
                SeedMean Mean(Func<VectorErrors, double> value) => SeedMean.Of(all, v => value(of(v)), v => v.Count);
                var (east, north, eastRatio, northRatio) = (Mean(v => v.EastMs), Mean(v => v.NorthMs), Mean(v => v.EastRatio * v.EastRatio).Root(), Mean(v => v.NorthRatio * v.NorthRatio).Root());
                output.WriteLine(Text($"{line,-5} {truth,-6} | {all.Count,5} {all.Sum(v => v.Count),6} | {east.Value,6:0.00} ± {east.Sigma:0.00}  {north.Value,6:0.00} ± {north.Sigma:0.00} | {eastRatio.Value,5:0.000} ± {eastRatio.Sigma:0.000} {northRatio.Value,5:0.000} ± {northRatio.Sigma:0.000} | {Mean(v => v.HalfChiSquare).Value:0.000} (least {all.Min(v => of(v).HalfChiSquare):0.00}, largest {all.Max(v => of(v).HalfChiSquare):0.00})"));
            }
    }

    private static string Text(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
