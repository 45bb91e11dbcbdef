using Phasekeeper.Core.Activities;
using Phasekeeper.Core.Coefficients.Fits;
using Phasekeeper.Core.Trackers;

namespace Phasekeeper.Core.Tests.Coefficients.Fits;

public sealed class FitWarningTests
{
    private static readonly SimulatedWindow Window = new() { RadPerK = 0.73, Orbits = 9 };

    private static string[] Codes(FitSurroundings around, IReadOnlyList<OrbitInput> orbits) => [.. Fits.Of(Window, orbits, around, FitPart.ThermalSlope).Warnings.Select(w => w.Code)];

    [Fact]
    public void Activities_events_and_sets_within_the_window_are_told_and_others_are_not()
    {
        var orbits = Window.Make(1);
        Core.Time.Instant start = orbits[0].Start, end = orbits[^1].End;
        PlannedActivity Activity(double fromS, double toS) => new("a", ActivityKinds.BakeOut, "Bake-out", start.AddSeconds(fromS), start.AddSeconds(toS));
        FitEvent Event(double fromS, double toS) => new(start.AddSeconds(fromS), start.AddSeconds(toS), "a change point", "F", null);
        Assert.Empty(Codes(new() { Activities = [Activity(-200, 0), Activity(end - start, end - start + 5)], Events = [Event(-9, -1)], SetChanges = [start, end] }, orbits));
        Assert.Equal([FitWarningCodes.CrossesActivity], Codes(new() { Activities = [Activity(-200, 10)] }, orbits));
        Assert.Equal([FitWarningCodes.CrossesEvent], Codes(new() { Events = [Event(500, 500)] }, orbits));
        Assert.Equal([FitWarningCodes.CrossesSets], Codes(new() { SetChanges = [start.AddSeconds(7000)] }, orbits));
        // Held-out orbits in between are within the window too.
        OrbitInput[] ends = [.. orbits.Where((_, i) => i != 4)];
        Assert.Equal([FitWarningCodes.CrossesActivity], Codes(new() { Activities = [Activity(4.2 * SimulatedWindow.OrbitS, 4.4 * SimulatedWindow.OrbitS)] }, ends));
    }

    [Fact]
    public void Few_orbits_are_told() => Assert.Equal([FitWarningCodes.FewOrbits], Codes(new(), [.. Window.Make(1).Take(7)]));

    [Fact]
    public void One_orbit_gives_numbers_with_a_sigma_and_the_warning()
    {
        var fit = Fits.Of(Window, [.. Window.Make(1).Take(1)], Fits.Thermal);
        Assert.Contains(fit.Warnings, w => w.Code == FitWarningCodes.FewOrbits);
        Assert.InRange(Math.Abs(fit.Number("optics.thermal.radPerK").After - 0.73), 0, 5 * fit.Number("optics.thermal.radPerK").Sigma);
        Assert.All(fit.Numbers, n => Assert.True(n.Sigma > 0, n.Number));
    }

    [Fact]
    public void Numbers_that_stand_on_few_of_the_orbits_are_told()
    {
        OrbitInput[] orbits = [.. Window.Make(1).Select((o, i) => i < 4 ? o : o with { Fringes = [.. o.Fringes.Where(f => f.Kind != Core.Fringes.ExposureKind.Dark)] })];
        var told = Assert.Single(Fits.Of(Window, orbits, FitPart.Dark, FitPart.ThermalSlope).Warnings, w => w.Code == FitWarningCodes.FewOrbits);
        Assert.Contains("dark.rateElectronsPerS stands on 4 of 9 orbits", told.Text, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(-0.02, -0.01, true)] // the slope has been falling, and the fit raises it from 0.71 to 0.73
    [InlineData(0.01, 0.02, false)]
    [InlineData(-0.02, 0.01, false)] // no known direction
    public void A_change_against_ageing_is_told(double low, double high, bool told)
    {
        var codes = Codes(new() { Ageing = [new("optics.thermal.radPerK", "F", "green", low, high), new("optics.thermal.radPerK", "A", "green", -9, -8)] }, Window.Make(1));
        Assert.Equal(told ? [FitWarningCodes.AgainstAgeing] : [], codes);
    }

    [Theory]
    [InlineData("F", "green")] // the trackers of the dark tell by view and line, the law is one for all
    [InlineData(null, null)]
    public void The_dark_laws_change_against_ageing_is_told(string? view, string? line)
    {
        var window = new SimulatedWindow { RadPerK = 0.73, Orbits = 9, Dark = new(120, 3, -20, 6.5) };
        var orbits = window.Make(1);
        var number = Fits.Of(window, orbits, new FitSurroundings(), FitPart.Dark).Numbers.Single(n => n.Number == "dark.rateElectronsPerS");
        var sign = number.After > number.Before ? -1 : 1;
        FitWarning[] Told(int direction) => [.. Fits.Of(window, orbits, new FitSurroundings { Ageing = [new("dark.rateElectronsPerS", view, line, direction * 8.5 - 0.5, direction * 8.5 + 0.5)] }, FitPart.Dark).Warnings.Where(w => w.Code == FitWarningCodes.AgainstAgeing)];
        Assert.Single(Told(sign));
        Assert.Empty(Told(-sign));
    }
}
