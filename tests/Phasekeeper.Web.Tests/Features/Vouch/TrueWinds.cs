using System.Text;
using Phasekeeper.Core.Comparison;
using Phasekeeper.Core.Time;
using Phasekeeper.Demo.Atmosphere;
using Phasekeeper.Demo.Environment;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Vouch;

/// <summary>The demo's true winds on a grid of places and hours, with a stated offset added to the eastward wind.</summary>
internal static class TrueWinds
{
    public static byte[] File(double eastwardOffsetMs)
    {
        var scenario = DemoProfile.Generator.Scenario;
        var field = new WindField(scenario.Seed);
        var winds = new List<IndependentWind>();
        for (var half = 0; half < 11; half++)
        {
            var time = scenario.Start.AddSeconds(1800 * half);
            var (sin, cos) = Math.SinCos(EarthModel.SiderealRad(time));
            var sun = EarthModel.ToEarthFixed(EarthModel.SunDirection(time), sin, cos);
            var moment = field.At(1800 * half, Math.Atan2(sun.Y, sun.X));
            for (var latitude = -36; latitude <= 64; latitude += 5)
                for (var longitude = -180; longitude < 180; longitude += 10)
                    for (var km = 85; km <= 118; km += 3)
                    {
                        double a = latitude * Math.PI / 180, o = longitude * Math.PI / 180;
                        var (u, v) = field.Evaluate(moment, new(Math.Sin(a), Math.Cos(a), Math.Sin(o), Math.Cos(o), km));
                        winds.Add(new(time, latitude, longitude, km, u + eastwardOffsetMs, v, 1, 1, "truth"));
                    }
        }
        return Encoding.UTF8.GetBytes(IndependentWindFile.Write(winds, "True winds of the demo on a grid."));
    }
}
