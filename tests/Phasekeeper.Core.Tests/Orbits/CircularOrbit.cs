using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Orbits;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Tests.Orbits;

/// <summary>A circular two-body orbit that passes its ascending node at the epoch; covers one or several stretches.</summary>
internal sealed class CircularOrbit(Instant epoch, double radiusM, double inclinationRad, double nodeRad, params TimeStretch[] coverage) : IEphemeris
{
    public double RateRadPerS { get; } = Math.Sqrt(3.986004418e14 / (radiusM * radiusM * radiusM));

    public double PeriodSeconds => 2 * Math.PI / RateRadPerS;

    public EphemerisKind Kind => EphemerisKind.Oem;

    public Instant Start => coverage[0].Start;

    public Instant End => coverage[^1].End;

    public IReadOnlyList<TimeStretch> Coverage => coverage;

    public bool TryGetState(Instant time, out OrbitState state)
    {
        state = default;
        if (!coverage.Any(c => c.Contains(time))) return false;
        var (sn, cn) = Math.SinCos(nodeRad);
        var (si, ci) = Math.SinCos(inclinationRad);
        var (s, c) = Math.SinCos(RateRadPerS * (time - epoch));
        Vec3 p = new(cn, sn, 0), q = new(-sn * ci, cn * ci, si);
        state = new(radiusM * (c * p + s * q), radiusM * RateRadPerS * (c * q - s * p));
        return true;
    }
}
