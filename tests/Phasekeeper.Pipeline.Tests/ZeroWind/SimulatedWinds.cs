using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Limb;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.ZeroWind;
using Phasekeeper.Demo.Atmosphere;
using Phasekeeper.Demo.Environment;
using Phasekeeper.Demo.ForwardModel;
using Phasekeeper.Demo.Noise;

namespace Phasekeeper.Pipeline.Tests.ZeroWind;

/// <summary>
/// Line-of-sight winds of months at a reduced cadence: the demo's orbit and wind field (tides and planetary waves that differ from day to day), the looks of the product's own geometry, noise of
/// 3 m/s, and a known offset in each view.
/// </summary>
internal sealed class SimulatedWinds
{
    public static readonly Instant Start = Instant.FromUtc(2031, 4, 10);
    public static readonly string[] Views = ["F", "A"];
    private const double NoiseMs = 3;

    private readonly CircularOrbit orbit = new(Start);
    private readonly List<Look> looks = [];

    /// <summary>Looks of a number of days, one exposure every <paramref name="stepS"/> seconds, on given rows.</summary>
    public SimulatedWinds(int days, double stepS, params double[] tangentKm)
    {
        var depression = tangentKm.Select(km => new Tern(1).Model.RowDepressionDeg[Array.IndexOf(Tern.TangentKm, km)]).ToArray();
        for (double t = 0; t < days * 86400.0; t += stepS)
        {
            var time = Start.AddSeconds(t);
            var state = orbit.StateAt(time);
            var geometry = new LookGeometry(time, state);
            var sun = LocalSolarTime.SubsolarLongitudeRad(time);
            for (var view = 0; view < 2; view++)
                foreach (var angle in depression)
                {
                    var look = geometry.Look(view == 0 ? 45 : 135, angle);
                    double latitude = look.TangentLatitudeRad, longitude = look.TangentLongitudeRad;
                    var sample = new ZeroWindSample(time, Views[view], "green", latitude * (180 / Math.PI), LocalSolarTime.Hours(longitude, sun), look.TangentAltitudeM * 1e-3,
                        look.AzimuthRad, state.VelocityTemeMs.Z > 0, 0, NoiseMs);
                    var turned = geometry.Look((view == 0 ? 45 : 135) + 0.01, angle);
                    looks.Add(new(t, sun, (turned.MotionMs - look.MotionMs) / 0.01, new(Math.Sin(latitude), Math.Cos(latitude), Math.Sin(longitude), Math.Cos(longitude), sample.AltitudeKm), sample));
                }
        }
    }

    /// <summary>Condensed orbits of the first days of a seed's winds, with offsets of both views and a yaw error that nobody knows of: the motion of the turned look stays in the wind.</summary>
    public IReadOnlyList<OrbitWindSums> Sums(ulong seed, int days, double offsetF, double offsetA, double yawDeg = 0)
    {
        var field = new WindField(seed);
        var noise = new HashRandom(seed, 77);
        var orbits = new List<OrbitWindSums>();
        var samples = new List<ZeroWindSample>();
        var (node, moment, at) = (Start, field.At(0, 0), double.NaN);
        foreach (var look in looks)
        {
            if (look.Seconds >= days * 86400.0) break;
            if (look.Seconds != at)
            {
                (at, moment) = (look.Seconds, field.At(look.Seconds, look.SunRad));
                if (look.Sample.Time - node >= orbit.PeriodS)
                {
                    orbits.Add(OrbitWindSums.Of(orbits.Count, node, samples));
                    samples.Clear();
                    node = node.AddSeconds(orbit.PeriodS);
                }
            }
            var (u, v) = field.Evaluate(moment, look.Place);
            var (sin, cos) = Math.SinCos(look.Sample.AzimuthRad);
            var wind = u * sin + v * cos + (look.Sample.View == "F" ? offsetF : offsetA) + NoiseMs * noise.NextNormal() + yawDeg * look.MotionMsPerDeg;
            samples.Add(look.Sample with { WindMs = wind });
        }
        orbits.Add(OrbitWindSums.Of(orbits.Count, node, samples));
        return orbits;
    }

    private readonly record struct Look(double Seconds, double SunRad, double MotionMsPerDeg, GeodeticPoint Place, ZeroWindSample Sample);
}
