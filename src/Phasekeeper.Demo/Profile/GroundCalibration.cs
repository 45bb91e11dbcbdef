using System.Globalization;
using System.Text;
using Phasekeeper.Demo.Environment;
using Phasekeeper.Demo.ForwardModel;
using Phasekeeper.Demo.Noise;
using Phasekeeper.Demo.Scenario;

namespace Phasekeeper.Demo.Profile;

/// <summary>
/// The first coefficient set: the truth as a laboratory would know it, a little off where a laboratory would be: k by about 0.3 %, the lag by some
/// seconds, image-shift slopes by 2 %, the flat field by 0.03 % a sample, the dark rate by 1 %.
/// </summary>
public sealed class GroundCalibration(ScenarioGenerator generator)
{
    /// <summary>The object of coefficients.json.</summary>
    public object Coefficients()
    {
        var random = new HashRandom(generator.Seed, 0x6C0);
        var darkError = random.NextNormal();
        var optics = new List<object>();
        foreach (var o in generator.Instrument.Optics)
        {
            optics.Add(new
            {
                view = o.View.Id,
                line = o.Line.Id,
                flat = FlatName(o),
                distortionRad = o.DistortionRad,
                zeroWindRad = o.ZeroWindRad,
                visibility = o.Visibility,
                envelope = new[] { o.Envelope.M1, o.Envelope.M2 },
                thermal = new
                {
                    radPerK = Math.Round(o.RadPerK * (1 + 0.003 * Bounded(random.NextNormal())), 5),
                    lagS = Math.Round(ThermalTruth.OpticsLagS + 4 * Bounded(random.NextNormal()), 1),
                    referenceC = Tern.ThermalReferenceC,
                },
                lampRatio = o.LampRatio,
                lampPhaseRad = o.LampPhaseRad,
                lampElectrons = o.LampElectrons,
                lampVisibility = o.LampVisibility,
            });
        }
        return new
        {
            schema = "phasekeeper-coefficients/1",
            name = "ground 1",
            validFrom = generator.Scenario.Start.AddSeconds(-86400).ToString(),
            dark = new
            {
                biasCounts = Tern.BiasCounts,
                rateElectronsPerS = Math.Round(Tern.DarkElectronsPerS * (1 + 0.01 * Bounded(darkError)), 4),
                referenceC = Tern.DarkReferenceC,
                doublingK = Tern.DarkDoublingK,
            },
            optics,
            imageShift = Enumerable.Range(0, 2).Select(v => new
            {
                view = generator.Instrument.Model.Views[v].Id,
                samplesPerK = Math.Round(Tern.ShiftPerK[v] * (1 + 0.02 * Bounded(random.NextNormal())), 6),
                referenceC = Tern.BenchReferenceC,
                offsetSamples = 0.0,
            }).ToArray(),
            badSamples = generator.Instrument.Optics.SelectMany(o => o.HotSamples.Where(h => h.OnsetDay < 0)
                .Select(h => new { view = o.View.Id, line = o.Line.Id, row = h.Row, sample = h.Sample })).ToArray(),
        };
    }

    /// <summary>The flat-field files: name and text, a line a row.</summary>
    public IEnumerable<(string Name, string Text)> Flats()
    {
        foreach (var o in generator.Instrument.Optics)
        {
            var random = new HashRandom(generator.Seed, 0x6C1, (ulong)o.Index);
            var text = new StringBuilder();
            foreach (var row in o.Flat)
            {
                for (var i = 0; i < row.Length; i++)
                {
                    if (i > 0) text.Append(',');
                    text.Append((row[i] * (1 + 0.0003 * random.NextNormal())).ToString("F6", CultureInfo.InvariantCulture));
                }
                text.Append('\n');
            }
            yield return (FlatName(o), text.ToString());
        }
    }

    private static string FlatName(OpticsTruth o) => $"flat-{o.View.Id}-{o.Line.Id}.csv";

    // A laboratory's error stays within 1.5 of its sigma: a larger one would have been found.
    private static double Bounded(double normal) => Math.Clamp(normal, -1.5, 1.5);
}
