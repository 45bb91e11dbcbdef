using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Winds;
using Phasekeeper.Demo.Atmosphere;
using Phasekeeper.Demo.Environment;
using Phasekeeper.Demo.ForwardModel;
using Phasekeeper.Demo.Scenario;

namespace Phasekeeper.Demo.Tests.Winds;

/// <summary>Winds and light that a scenario put in, where the rows of an exposure looked.</summary>
public sealed class ScenarioTruth
{
    private readonly ScenarioGenerator generator;
    private readonly WindField winds;
    private readonly Airglow airglow;

    public ScenarioTruth(ScenarioGenerator generator) => (this.generator, winds, airglow) = (generator, new WindField(generator.Seed), new Airglow(generator.Seed));

    /// <summary>Truth of one view's exposure, had the body been rolled about its x axis (right-handed) as well.</summary>
    public ExposureTruth At(Instant time, string view, double rollDeg = 0)
    {
        var index = generator.Instrument.Model.Views[0].Id == view ? 0 : 1;
        var optics = generator.Instrument.Optics;
        var seconds = generator.State.Seconds(time);
        var limb = new LimbView(time, seconds, generator.Orbit, winds, airglow);
        var yaw = generator.State.YawErrorDeg(time);
        var sights = generator.Instrument.Model.RowDepressionDeg
            .Select(d => Rolled(generator.Instrument.Model.Views[index].AzimuthDeg, d, rollDeg))
            .Select(look => limb.Follow(look.AzimuthDeg, yaw, look.DepressionDeg, optics[2 * index].Kappa, optics[2 * index + 1].Kappa)).ToArray();
        var (sin, cos) = Math.SinCos(EarthModel.SiderealRad(time));
        var sun = EarthModel.ToEarthFixed(EarthModel.SunDirection(time), sin, cos);
        return new ExposureTruth(sights, sun, winds, winds.At(seconds, Math.Atan2(sun.Y, sun.X)));
    }

    // A look of the rolled body by the angles that it has against the body that is not: x along the track, y to its right, z down.
    private static (double AzimuthDeg, double DepressionDeg) Rolled(double azimuthDeg, double depressionDeg, double rollDeg)
    {
        const double degree = Math.PI / 180;
        var (sinA, cosA) = Math.SinCos(azimuthDeg * degree);
        var (sinD, cosD) = Math.SinCos(depressionDeg * degree);
        var (sinR, cosR) = Math.SinCos(rollDeg * degree);
        double x = cosD * cosA, y = -cosD * sinA * cosR - sinD * sinR, z = -cosD * sinA * sinR + sinD * cosR;
        return (Math.Atan2(-y, x) / degree, Math.Asin(z) / degree);
    }
}

/// <summary>What was put in at one exposure of one view.</summary>
public sealed class ExposureTruth(LimbSight[] rows, Vec3 sun, WindField winds, WindMoment moment)
{
    /// <summary>What each row saw.</summary>
    public LimbSight[] Rows => rows;

    /// <summary>Cosine of the solar zenith angle at a row's tangent point.</summary>
    public double SunCosine(int row) => Vec3.Dot(rows[row].Tangent.Up, sun);

    /// <summary>
    /// The true winds through the averaging kernel of a profile, m/s, in the order of its matrix rows. Above the top row: the wind over the top row's tangent point, along its look.
    /// </summary>
    public double[] ThroughKernel(LosWindProfile profile)
    {
        int n = profile.MatrixRows.Length, u = profile.KernelAltitudeKm.Length;
        var truth = new double[u];
        for (var j = 0; j < n; j++) truth[j] = rows[profile.MatrixRows[j]].LineOfSightWindMs;
        var top = rows[profile.MatrixRows[n - 1]];
        var (sin, cos) = Math.SinCos(top.AzimuthDeg * Math.PI / 180);
        for (var j = n; j < u; j++)
        {
            var (east, north) = winds.Evaluate(moment, top.Tangent with { AltitudeKm = profile.KernelAltitudeKm[j] });
            truth[j] = east * sin + north * cos;
        }
        var seen = new double[n];
        for (var k = 0; k < n; k++)
            for (var j = 0; j < u; j++) seen[k] += profile.AveragingKernel[k * u + j] * truth[j];
        return seen;
    }
}
