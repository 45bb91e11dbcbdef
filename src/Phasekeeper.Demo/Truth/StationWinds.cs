using Phasekeeper.Core.Comparison;
using Phasekeeper.Core.Time;
using Phasekeeper.Demo.Atmosphere;
using Phasekeeper.Demo.Environment;
using Phasekeeper.Demo.Noise;

namespace Phasekeeper.Demo.Truth;

/// <summary>
/// Winds as invented ground stations would measure them: the scenario's true winds above four radars (82–112 km, every half an hour) and four red-line photometers (250 km, at night), with their noise and an offset
/// of zero. They know nothing of the satellite, so they can tell whether its winds are right.
/// </summary>
public sealed class StationWinds(WindField winds, ulong seed, Instant scenarioStart)
{
    private const double StepS = 1800, RadarSigmaMs = 6, PhotometerSigmaMs = 8;

    // Places that the views of an orbit of 50° see on both legs.
    private static readonly (string Name, double LatitudeDeg, double LongitudeDeg)[] Stations = [("Gannet Skerry", 47, -28), ("Plover Ness", 34, 141), ("Dunlin Flats", 12, -96), ("Fulmar Head", -24, 57)];

    /// <summary>Winds from a moment on, to the end (exclusive), as a file in the format of <see cref="IndependentWindFile"/>.</summary>
    public string Write(Instant from, Instant to) => IndependentWindFile.Write(Sample(from, to),
        "Winds above four invented ground stations of the demo: radars (82 to 112 km) and red-line photometers (250 km, at night).\nTruth of the scenario with noise (1 sigma 6 and 8 m/s); their own offset is zero by construction.");

    /// <summary>Winds from a moment on, to the end (exclusive), by time and station.</summary>
    public IEnumerable<IndependentWind> Sample(Instant from, Instant to)
    {
        for (var k = (long)Math.Ceiling((from - scenarioStart) / StepS); scenarioStart.AddSeconds(k * StepS) < to; k++)
        {
            var time = scenarioStart.AddSeconds(k * StepS);
            var (sinSidereal, cosSidereal) = Math.SinCos(EarthModel.SiderealRad(time));
            var sun = EarthModel.ToEarthFixed(EarthModel.SunDirection(time), sinSidereal, cosSidereal);
            var moment = winds.At(k * StepS, Math.Atan2(sun.Y, sun.X));
            for (var s = 0; s < Stations.Length; s++)
            {
                var noise = new HashRandom(seed, 0x57A7, (ulong)k, (ulong)s);
                for (var km = 82.0; km <= 112; km += 3) yield return At(time, moment, s, km, RadarSigmaMs, ref noise, " radar");
                var up = Place(s, 250).Up;
                if (up.X * sun.X + up.Y * sun.Y + up.Z * sun.Z < -0.2) yield return At(time, moment, s, 250, PhotometerSigmaMs, ref noise, " photometer");
            }
        }
    }

    private IndependentWind At(Instant time, WindMoment moment, int station, double km, double sigmaMs, ref HashRandom noise, string kind)
    {
        var (u, v) = winds.Evaluate(moment, Place(station, km));
        return new(time, Stations[station].LatitudeDeg, Stations[station].LongitudeDeg, km, u + sigmaMs * noise.NextNormal(), v + sigmaMs * noise.NextNormal(), sigmaMs, sigmaMs, Stations[station].Name + kind);
    }

    private static GeodeticPoint Place(int station, double km)
    {
        var (sinLatitude, cosLatitude) = Math.SinCos(Stations[station].LatitudeDeg * (Math.PI / 180));
        var (sinLongitude, cosLongitude) = Math.SinCos(Stations[station].LongitudeDeg * (Math.PI / 180));
        return new(sinLatitude, cosLatitude, sinLongitude, cosLongitude, km);
    }
}
