using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Orbits.Sgp4;

/// <summary>
/// What SDP4 adds for periods of 225 min and more: Sun, Moon and resonance (Spacetrack Report 3; AIAA 2006-6753). Angles in rad, minutes since epoch.
/// </summary>
internal sealed class DeepSpace
{
    /// <summary>Julian date of 1899-12-31T12:00, from which the lunar-solar theory counts its days.</summary>
    private const double LunarSolarEpoch = 2415020.0;

    private readonly ThirdBody _sun, _moon;
    private readonly Resonance? _resonance;
    private readonly double _eRate, _iRate, _mRate, _perigeeRate, _nodeRate;

    public DeepSpace(BrouwerOrbit orbit, Instant epoch)
    {
        var date = JulianDate.Utc(epoch);
        var day = date.Midnight - LunarSolarEpoch + date.DayFraction;
        _sun = ThirdBody.Sun(orbit, day);
        _moon = ThirdBody.Moon(orbit, day);
        (_eRate, _iRate, _mRate) = (_sun.ERate + _moon.ERate, _sun.IRate + _moon.IRate, _sun.MRate + _moon.MRate);
        (_perigeeRate, _nodeRate) = (_sun.PerigeeRate + _moon.PerigeeRate, _sun.NodeRate + _moon.NodeRate);
        _resonance = Resonance.Of(orbit, EarthRotation.Gmst1982Rad(epoch), _mRate, _perigeeRate, _nodeRate);
    }

    /// <summary>Adds the secular and resonant changes.</summary>
    public void AddSecular(ref Sgp4Elements x, double minutes)
    {
        x.Eccentricity += _eRate * minutes;
        x.Inclination += _iRate * minutes;
        x.Perigee += _perigeeRate * minutes;
        x.Node += _nodeRate * minutes;
        x.MeanAnomaly += _mRate * minutes;
        if (_resonance is not null) (x.MeanMotion, x.MeanAnomaly) = _resonance.At(minutes, x.Perigee, x.Node);
    }

    /// <summary>Adds the long-period lunar-solar terms.</summary>
    public void AddPeriodic(ref Sgp4Elements x, double minutes)
    {
        var sun = _sun.At(minutes);
        var moon = _moon.At(minutes);
        double i = sun.I + moon.I, l = sun.L + moon.L, gh = sun.Gh + moon.Gh, h = sun.H + moon.H;
        x.Inclination += i;
        x.Eccentricity += sun.E + moon.E;
        var (sinI, cosI) = Math.SinCos(x.Inclination);
        if (x.Inclination >= 0.2)
        {
            h /= sinI;
            x.Perigee += gh - cosI * h;
            x.Node += h;
            x.MeanAnomaly += l;
            return;
        }
        // Lyddane's variables: near the equator node and perigee are changed through their sum and sin i·(sin Ω, cos Ω).
        var (sinNode, cosNode) = Math.SinCos(x.Node);
        var alpha = sinI * sinNode + h * cosNode + i * cosI * sinNode;
        var beta = sinI * cosNode - h * sinNode + i * cosI * cosNode;
        var oldNode = x.Node % (2 * Math.PI);
        var sum = x.MeanAnomaly + x.Perigee + cosI * oldNode + l + gh - i * oldNode * sinI;
        var node = Math.Atan2(alpha, beta);
        if (Math.Abs(oldNode - node) > Math.PI) node += node < oldNode ? 2 * Math.PI : -2 * Math.PI;
        x.Node = node;
        x.MeanAnomaly += l;
        x.Perigee = sum - x.MeanAnomaly - cosI * node;
    }
}
