using Phasekeeper.Demo.Environment;
using Phasekeeper.Demo.Noise;

namespace Phasekeeper.Demo.Atmosphere;

/// <summary>
/// Volume emission rate of the two oxygen lines, photons/(cm³ s), by day and by night. Green: a layer near 97 km at all hours and,
/// by day, a broad one near 165 km. Red: a layer near 240 km by day, higher and weaker by night, fading after sunset.
/// Shapes are Chapman functions exp(1 − y − e^(−y)); brightnesses are of the usual size, not a model of any day.
/// </summary>
public sealed class Airglow
{
    private readonly SmoothNoise greenHeight, greenStrength, redStrength;

    /// <summary>Emissions of a seed.</summary>
    public Airglow(ulong seed)
    {
        greenHeight = new SmoothNoise(seed, 301, 90_000);
        greenStrength = new SmoothNoise(seed, 302, 40_000);
        redStrength = new SmoothNoise(seed, 303, 40_000);
    }

    /// <summary>What depends on time alone: make it once an exposure.</summary>
    /// <param name="seconds">Seconds since the scenario's start.</param>
    public AirglowMoment At(double seconds) => new(
        97 + 0.35 * greenHeight.At(seconds), Math.Max(0.4, 1 + 0.12 * greenStrength.At(seconds)), Math.Max(0.4, 1 + 0.12 * redStrength.At(seconds)));

    /// <summary>Emission of both lines at a place.</summary>
    /// <param name="moment">From <see cref="At"/>.</param>
    /// <param name="at">The place.</param>
    /// <param name="sunCosine">Cosine of the solar zenith angle there.</param>
    /// <param name="hoursFromNoon">Local solar time minus 12 h, −12…12; tells evening from morning.</param>
    public static (double Green, double Red) Evaluate(AirglowMoment moment, in GeodeticPoint at, double sunCosine, double hoursFromNoon)
    {
        // Day fades to night between solar zenith angles of 83° and 101°.
        var day = Smooth((sunCosine + 0.19) / 0.31);
        var high = Math.Sqrt(Math.Max(0.02, sunCosine + 0.1));
        var z = at.AltitudeKm;
        var green = 0.0;
        if (z < 150)
        {
            var place = 1 + 0.15 * at.SinLatitude * at.CosLongitude + 0.1 * (at.CosLatitude - 0.7);
            green = moment.GreenStrength * place * (110 + 190 * day * high) * Chapman(z, moment.GreenHeightKm, 4.6);
        }
        var red = 0.0;
        if (z > 100)
        {
            green += moment.RedStrength * 230 * day * high * Chapman(z, 165, 20);
            red = moment.RedStrength * 190 * day * high * Chapman(z, 238, 40);
            if (day < 1)
            {
                // Minutes after sunset still bright, before dawn faint.
                var sinceSunset = hoursFromNoon > 0 ? hoursFromNoon - 6 : hoursFromNoon + 18;
                var fading = 0.3 + 0.7 * Math.Exp(-Math.Max(0, sinceSunset) / 3.5);
                red += moment.RedStrength * (1 - day) * 55 * fading * Chapman(z, 262, 34);
            }
        }
        return (green, red);
    }

    private static double Chapman(double z, double peakKm, double scaleKm)
    {
        var y = (z - peakKm) / scaleKm;
        return y < -4 ? 0 : Math.Exp(1 - y - Math.Exp(-y));
    }

    private static double Smooth(double x) => x <= 0 ? 0 : x >= 1 ? 1 : x * x * (3 - 2 * x);
}

/// <summary>Height and strength of the layers at one moment.</summary>
public sealed record AirglowMoment(double GreenHeightKm, double GreenStrength, double RedStrength);
