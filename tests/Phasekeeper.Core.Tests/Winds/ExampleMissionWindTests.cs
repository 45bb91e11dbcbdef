using System.Globalization;
using System.Text;
using Phasekeeper.Core.Statistics;
using Phasekeeper.Core.Tests.Fringes;
using Phasekeeper.Core.Winds;
using Xunit.Abstractions;

namespace Phasekeeper.Core.Tests.Winds;

/// <summary>Winds of the example mission (an independent simulator with structure along and across the track) against its truth; skipped where the mission is not at hand.</summary>
public class ExampleMissionWindTests(ITestOutputHelper output)
{
    [Fact]
    public void Accuracy_table()
    {
        if (ExampleMission.Folder is null) return;
        foreach (var noise in new[] { false, true })
        {
            var winds = ExampleMissionWinds.Scenes(1, noise).SelectMany(s =>
            {
                var profile = LosWindRetrieval.Retrieve(s.Input, s.Paths);
                return profile.Rows.Select((w, r) => (Wind: w, Truth: s.Truth[r], s.Input.Line.Id, profile));
            }).ToList();
            foreach (var line in new[] { "green", "red" })
                foreach (var (low, high) in new[] { (80, 110), (110, 150), (110, 200), (200, 330) })
                {
                    var part = winds.Where(w => w.Id == line && w.Truth.AltitudeKm >= low && w.Truth.AltitudeKm < high).ToList();
                    double[] errors = [.. part.Select(w => w.Wind.WindMs - w.Truth.LosMs)];
                    double[] ratios = [.. part.Select(w => (w.Wind.WindMs - w.Truth.LosMs) / w.Wind.SigmaMs)];
                    double M(Func<LosWind, double> f) => RobustStatistics.Median([.. part.Select(p => f(p.Wind))]);
                    output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{line} {noise} {low}-{high}: 68%={Quantile(errors, 0.6827):0.00} med={RobustStatistics.Median(errors):0.00} sig={M(w => w.SigmaMs):0.00} ph={M(w => w.Budget.PhotonMs):0.00} inv={M(w => w.Budget.InversionMs):0.00} A={M(w => w.KernelDiagonal):0.00} ratio rms={Math.Sqrt(ratios.Average(x => x * x)):0.00} 68%={Quantile(ratios, 0.6827):0.00} good={part.Count(p => p.Wind.Quality == WindQuality.Good) / (double)part.Count:0.00} doubt={part.Count(p => p.Wind.Quality == WindQuality.Doubtful) / (double)part.Count:0.00} maxerr={errors.Max(Math.Abs):0} ell={string.Join(' ', part.GroupBy(p => p.profile.CorrelationKm).OrderBy(g => g.Key).Select(g => $"{g.Key}:{g.Count()}"))} chi={RobustStatistics.Median([.. part.Select(p => p.profile.MisfitChiSquare)]):0.00} H={RobustStatistics.Median([.. part.Select(p => p.profile.TopScaleHeightKm)]):0}"));
                }
        }
    }

    internal static double Quantile(IEnumerable<double> errors, double share)
    {
        double[] sorted = [.. errors.Select(Math.Abs).Order()];
        return sorted[(int)(share * (sorted.Length - 1))];
    }
}
