using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Coefficients.Fits;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Core.ZeroWind;
using Xunit.Abstractions;

namespace Phasekeeper.Core.Tests.Coefficients.Fits;

public sealed class OtherPartsTests(ITestOutputHelper output)
{
    private static ZeroWindEstimate Estimate(ZeroWindStatus status, double offsetMs, double sigmaMs) => new()
    {
        Line = "green",
        Status = status,
        Reasons = status == ZeroWindStatus.Claimed ? [] : ["Only 5 of 24 hours of local time have a place that both legs have seen; 20 are needed."],
        Offsets = [new("F", offsetMs, sigmaMs)],
        CovarianceM2S2 = [sigmaMs * sigmaMs],
        TrendSigmaMs = [0.1],
        Information = (0.3, 0.4),
        BinsUsed = 900,
        BinsSeen = 1100,
        PairedShare = 0.95,
        HoursUsed = 24,
        Columns = [],
        DailyWindSigmaMs = [],
        Orbits = 880,
        Days = 62,
        From = SimulatedWindow.Start.AddSeconds(-60 * 86400),
        To = SimulatedWindow.Start,
        LocalTimeRateHPerDay = -0.39,
    };

    /// <summary>
    /// By the forward model of domain.md section 2, θ = … + Z + φ_opt + φ_img − κ·w, with Z off by 0.05 rad: the winds that the formulas of section 3 make with the set are off, and the fit with that offset must take it out. κ = 2πσD0/c by hand.
    /// </summary>
    [Fact]
    public void Zero_wind_phases_that_are_off_are_repaired()
    {
        var window = new SimulatedWindow { ZeroWindRad = [0.15, 0.25, 0.35, 0.45] };
        var kappa = 2 * Math.PI / 557.8887e-9 * 0.05 / 299_792_458.0;
        double Wind(CoefficientSet set, double windMs, double opticalRad, double shiftRad)
        {
            // θ without the terms that are the same in both; retrieval takes out the set's Z.
            var phase = window.ZeroWindRad[2] + opticalRad + shiftRad - kappa * windMs - set.Optics[0].ZeroWindRad[2];
            return -(phase - opticalRad - shiftRad) / kappa;
        }
        var off = Wind(window.Set, 40, 0.7, -0.2) - 40;
        Assert.InRange(off, -27, -26); // −0.05/κ
        var orbits = window.Make(1);
        var fit = Fits.Of(window, orbits, new FitSurroundings { ZeroWind = [Estimate(ZeroWindStatus.Claimed, off, 2)] }, FitPart.ZeroWind);
        Assert.Equal(40, Wind(fit.Set, 40, 0.7, -0.2), 1e-9);
        Assert.Equal(4, fit.Numbers.Count);
        Assert.All(fit.Numbers, n => Assert.Equal(2 * kappa, n.Sigma, 1e-12));
        Assert.All(fit.Numbers, n => Assert.Equal(0.05, n.After - n.Before, 1e-12));
        Assert.Equal(["0", "1", "2", "3"], fit.Numbers.Select(n => n.Index));
        Assert.Equal((900, 880), (fit.Numbers[0].Points, fit.Numbers[0].Orbits));

        // With a new lamp reference both moves add up.
        var both = Fits.Of(window, orbits, new FitSurroundings { ZeroWind = [Estimate(ZeroWindStatus.Claimed, off, 2)] }, FitPart.ZeroWind, FitPart.LampReference);
        var reference = Fits.Of(window, orbits, FitPart.LampReference);
        Assert.Equal(reference.Set.Optics[0].ZeroWindRad[2] + 0.05, both.Set.Optics[0].ZeroWindRad[2], 1e-12);
        Assert.Equal(4, both.Numbers.Count(n => n.Number == "optics.zeroWindRad"));
    }

    [Fact]
    public void A_zero_wind_that_is_not_claimed_changes_nothing()
    {
        var window = new SimulatedWindow { Orbits = 3 };
        foreach (var around in new[] { new FitSurroundings { ZeroWind = [Estimate(ZeroWindStatus.CannotTellYet, -26, 2)] }, new FitSurroundings() })
        {
            var fit = Fits.Of(window, window.Make(1), around, FitPart.ZeroWind);
            Assert.Empty(fit.Numbers);
            Assert.Equal(window.Set.Optics[0].ZeroWindRad, fit.Set.Optics[0].ZeroWindRad);
            Assert.Contains(fit.Warnings, w => w.Code == FitWarningCodes.NotDetermined && (w.View, w.Line) == ("F", "green"));
        }
    }

    [Fact]
    public void A_zero_wind_of_winds_by_two_sets_is_told()
    {
        var window = new SimulatedWindow { Orbits = 3 };
        string[] Codes(double daysBefore) =>
        [
            .. Fits.Of(window, window.Make(1), new FitSurroundings { ZeroWind = [Estimate(ZeroWindStatus.Claimed, 5, 2)], SetChanges = [SimulatedWindow.Start.AddSeconds(-86400 * daysBefore)] }, FitPart.ZeroWind)
                .Warnings.Select(w => w.Code).Where(c => c != FitWarningCodes.FewOrbits),
        ];
        Assert.Equal([FitWarningCodes.CrossesSets], Codes(30));
        Assert.Empty(Codes(61));
    }

    /// <summary>Seeds 1…40 with a tenth of the exposures at half of what they should be.</summary>
    [Fact]
    public void Visibilities_and_brightness_are_recovered_within_their_sigma()
    {
        var window = new SimulatedWindow { OutlierShare = 0.1, Orbits = 8 };
        var fits = Enumerable.Range(1, 40).Select(s => Fits.Of(window, (ulong)s, FitPart.Visibility)).ToArray();
        foreach (var (number, truth) in new[] { ("optics.visibility", 0.62), ("optics.lampVisibility", 0.6), ("optics.lampElectrons", 3900.0) })
        {
            var (rms, mean) = Fits.Pulls(40, s => (fits[s - 1].Number(number), truth));
            output.WriteLine($"{number}: rms {rms:f3}, mean {mean:f3}, sigma {fits.Average(f => f.Number(number).Sigma):g3}");
            Assert.InRange(rms, 0.8, 1.2);
            Assert.InRange(Math.Abs(mean), 0, 3 / Math.Sqrt(40.0));
        }
        Assert.Equal(["optics.visibility", "optics.lampElectrons", "optics.lampVisibility"], fits[0].Numbers.Select(n => n.Number));
        var optics = fits[0].Set.Optics[0];
        Assert.Equal([optics.Visibility, optics.LampElectrons, optics.LampVisibility], fits[0].Numbers.Select(n => n.After));
    }

    /// <summary>300 is hot always, 9 on all orbits but one; 5 on the second half alone, 7 once.</summary>
    [Fact]
    public void Samples_that_are_hot_on_most_orbits_are_added()
    {
        var window = new SimulatedWindow();
        var fit = Fits.Of(window, 1, FitPart.BadSamples);
        BadSample[] expected = [new("F", "green", 0, 9), new("F", "green", 1, 44)];
        Assert.Equal(expected, fit.NewBadSamples);
        Assert.Equal(expected, fit.Set.BadSamples);
        // What the map has already is not added again.
        var again = new SimulatedWindow { From = window.Set with { BadSamples = [expected[1]] } };
        Assert.Equal([expected[0]], Fits.Of(again, 1, FitPart.BadSamples).NewBadSamples);
        OrbitInput[] two = [.. window.Make(1).Take(2)];
        Assert.Contains(Fits.Of(window, two, FitPart.BadSamples).Warnings, w => w.Code == FitWarningCodes.NotDetermined && w.Text.Contains("2 orbits", StringComparison.Ordinal));
    }
}
