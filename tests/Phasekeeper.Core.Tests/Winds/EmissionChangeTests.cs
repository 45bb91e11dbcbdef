using Phasekeeper.Core.Time;
using Phasekeeper.Core.Winds;

namespace Phasekeeper.Core.Tests.Winds;

/// <summary>The emission's change along the ray from exposures 450 km apart on the equator, flying east.</summary>
public sealed class EmissionChangeTests
{
    private const double SpacingRad = 0.45 / 6.6;
    private static readonly Instant Time = Instant.ParseUtc("2031-03-21T12:00:00Z"); // the Sun stands over longitude 0, on the equator

    [Theory]
    [InlineData(90, 1)]
    [InlineData(270, -1)]
    public void A_ray_along_the_track_has_the_change_that_neighbours_measured(double azimuthDeg, double sign)
    {
        LosWindProfile At(int step) => Profile(30 + step * SpacingRad * 180 / Math.PI, azimuthDeg, Math.Exp(0.45 * 0.8 * step));
        var change = EmissionChange.FromNeighbours(At(-1), At(0), At(1))!;
        // 0.8 per 1000 km, shrunk by the prior of 0.15 against a noise of one per cent.
        Assert.All(change.AlongRayPerMm, g => Assert.InRange(sign * g, 0.75, 0.82));
        Assert.All(change.SigmaPerMm, s => Assert.InRange(s, 0, 0.05));
    }

    [Fact]
    public void A_ray_across_the_track_takes_its_change_from_the_Suns_direction_only()
    {
        // At 92° from the Sun, which stands along the track: what neighbours see says nothing across it.
        LosWindProfile At(int step) => Profile(92 + step * SpacingRad * 180 / Math.PI, 0, Math.Exp(-0.45 * 2 * step));
        var change = EmissionChange.FromNeighbours(At(-1), At(0), At(1))!;
        Assert.All(change.AlongRayPerMm, g => Assert.InRange(g, -0.05, 0.05));
        Assert.All(change.SigmaPerMm, s => Assert.InRange(s, 0.14, 0.16));
    }

    [Theory]
    [InlineData(30, 0.14, 0.16)]
    [InlineData(92, 2.4, 2.6)]
    public void Without_neighbours_the_prior_stands_and_is_wide_towards_the_Sun_at_the_terminator(double longitudeDeg, double low, double high)
    {
        var change = EmissionChange.FromNeighbours(null, Profile(longitudeDeg, 90, 1), null)!;
        Assert.All(change.AlongRayPerMm, g => Assert.Equal(0, g));
        Assert.All(change.SigmaPerMm, s => Assert.InRange(s, low, high));
    }

    [Theory]
    [InlineData(90, 2)]
    [InlineData(0, 0)]
    public void A_bend_towards_the_Sun_that_neighbours_show_counts_as_an_error_of_rays_that_way(double azimuthDeg, double bend)
    {
        // At 92° from the Sun, which stands along the track: ln ε falls by 2·x²/2 on both sides.
        LosWindProfile At(int step) => Profile(92 + step * SpacingRad * 180 / Math.PI, azimuthDeg, Math.Exp(-0.5 * 2 * 0.45 * 0.45 * step * step));
        var change = EmissionChange.FromNeighbours(At(-1), At(0), At(1))!;
        Assert.All(change.AlongRayPerMm, g => Assert.InRange(g, -0.1, 0.1));
        Assert.All(change.BendPerMm2, b => Assert.InRange(b, bend - 0.1, bend + 0.1));
        Assert.All(change.ThirdPerMm3, t => Assert.InRange(t, azimuthDeg == 90 ? 2.4 : 0, azimuthDeg == 90 ? 2.6 : 0.01));
    }

    [Theory]
    [InlineData(30, 0.01, 0.03)]
    [InlineData(92, 2.9, 3.1)]
    public void Without_neighbours_the_bend_is_as_uncertain_as_the_terminator_makes_it(double longitudeDeg, double low, double high) =>
        Assert.All(EmissionChange.FromNeighbours(null, Profile(longitudeDeg, 90, 1), null)!.BendPerMm2, b => Assert.InRange(b, low, high));

    [Fact]
    public void A_longer_integration_is_no_brighter_air()
    {
        var change = EmissionChange.FromNeighbours(Profile(30 - SpacingRad * 180 / Math.PI, 90, 1), Profile(30, 90, 2) with { IntegrationS = 60 }, Profile(30 + SpacingRad * 180 / Math.PI, 90, 2) with { IntegrationS = 60 })!;
        Assert.All(change.AlongRayPerMm, g => Assert.InRange(g, -1e-9, 1e-9));
    }

    private static LosWindProfile Profile(double longitudeDeg, double azimuthDeg, double emission) => new()
    {
        Time = Time,
        Exposure = 1,
        View = "F",
        Line = "red",
        IntegrationS = 30,
        MatrixRows = [0, 1, 2, 3],
        CovarianceM2S2 = new double[16],
        Rows = [.. Enumerable.Range(0, 4).Select(r => new LosWind
        {
            Row = r,
            LatitudeRad = 0,
            LongitudeRad = longitudeDeg * Math.PI / 180,
            AltitudeKm = 200 + 20 * r,
            AzimuthRad = azimuthDeg * Math.PI / 180,
            Quality = WindQuality.Good,
            Reasons = [],
            WindMs = 0,
            Emission = emission,
            EmissionSigma = 0.01 * emission,
        })],
    };
}
