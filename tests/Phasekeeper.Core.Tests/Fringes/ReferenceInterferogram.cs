using System.Globalization;
using Phasekeeper.Tests;

namespace Phasekeeper.Core.Tests.Fringes;

/// <summary>One of the 20 reference interferograms (tests/reference/fringes_*.csv) with the model of its making, as stated at the head of make/fringes.py.</summary>
public sealed class ReferenceInterferogram
{
    public const int Samples = 320;
    public const double Cycles = 51.7, StartPhaseRad = 0.9, OpdMm = 50, OpdStepUm = 25;

    private static readonly Lazy<IReadOnlyList<Dictionary<string, string>>> Data = new(() => ReferenceFiles.ReadCsv("fringes_interferograms.csv"));
    private static readonly Lazy<IReadOnlyList<Dictionary<string, string>>> References = new(() => ReferenceFiles.ReadCsv("fringes_references.csv"));
    private readonly Dictionary<string, string> row;

    public ReferenceInterferogram(Dictionary<string, string> row)
    {
        this.row = row;
        Id = row["id"];
        Flat = Column(Data.Value, "flat");
        Counts = Column(Data.Value, Id);
        Reference = Column(References.Value, Id);
        double width = WavenumberPerM * Math.Sqrt(1.380649e-23 * Number("temperature_K") / (15.99491461957 * 1.66053906660e-27)) / 299792458.0;
        var opd = Enumerable.Range(0, Samples).Select(i => 0.05 + (i - 159.5) * 25e-6).ToArray();
        Envelope = [.. opd.Select(d => Math.Exp(-2 * Math.Pow(Math.PI * width, 2) * (d * d - 0.05 * 0.05)))];
        // The envelope is close to exp(−a·x): its series to second order is what an instrument's coefficients can say.
        var a = 2 * Math.Pow(Math.PI * width, 2);
        double half = 159.5 * 25e-6, first = -a * 2 * 0.05 * half, second = -a * half * half;
        EnvelopeSeries = (first, second + 0.5 * first * first);
        PhaseRad = [.. opd.Select((d, i) => 2 * Math.PI * Cycles * i / Samples + StartPhaseRad
            + (row["kind"] == "wind" ? 2 * Math.PI * WavenumberPerM * d * Number("phase_rad_or_wind_m_s") / 299792458.0 : Number("phase_rad_or_wind_m_s")))];
    }

    public string Id { get; }
    public double[] Flat { get; }
    public double[] Counts { get; }
    /// <summary>The noise-free interferogram at shift 0, rounded to 0.001 count.</summary>
    public double[] Reference { get; }
    public double[] Envelope { get; }
    public (double M1, double M2) EnvelopeSeries { get; }
    public double[] PhaseRad { get; }
    public bool Noisy => row["poisson"] == "1";
    public double MeanCounts => Number("mean_counts");
    public double Visibility => Number("visibility_at_centre");
    public double WavenumberPerM => row["line_nm"] == "630.0" ? 15867.862e2 : 17924.721e2;

    public double Number(string column) => double.Parse(row[column], CultureInfo.InvariantCulture);

    private static double[] Column(IReadOnlyList<Dictionary<string, string>> rows, string name) =>
        [.. rows.Select(r => double.Parse(r[name], CultureInfo.InvariantCulture))];
}
