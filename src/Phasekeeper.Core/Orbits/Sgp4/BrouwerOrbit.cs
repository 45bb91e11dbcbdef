namespace Phasekeeper.Core.Orbits.Sgp4;

/// <summary>
/// Mean elements in the units of the theory (rad, minutes, Earth radii), the Kozai mean motion turned into Brouwer's, and the secular
/// rates by the zonal harmonics J2 and J4 (Spacetrack Report 3; AIAA 2006-6753).
/// </summary>
internal sealed class BrouwerOrbit
{
    public double Eccentricity { get; }
    public double Inclination { get; }
    public double SinI { get; }
    public double CosI { get; }
    public double Node { get; }
    public double Perigee { get; }
    public double MeanAnomaly { get; }
    /// <summary>Brouwer mean motion, rad/min.</summary>
    public double MeanMotion { get; }
    /// <summary>Semi-major axis, Earth radii.</summary>
    public double SemiMajorAxis { get; }
    public double MeanAnomalyRate { get; }
    public double PerigeeRate { get; }
    public double NodeRate { get; }
    /// <summary>The J2 part of the node's rate that drag acts on.</summary>
    public double NodeRateJ2 { get; }

    public BrouwerOrbit(MeanElements elements)
    {
        const double degree = Math.PI / 180;
        Eccentricity = elements.Eccentricity;
        Inclination = elements.InclinationDeg * degree;
        (SinI, CosI) = Math.SinCos(Inclination);
        Node = elements.AscendingNodeDeg * degree;
        Perigee = elements.ArgumentOfPerigeeDeg * degree;
        MeanAnomaly = elements.MeanAnomalyDeg * degree;

        var kozai = elements.MeanMotionRevPerDay * 2 * Math.PI / 1440;
        double beta2 = 1 - Eccentricity * Eccentricity, beta = Math.Sqrt(beta2), c2 = CosI * CosI, c4 = c2 * c2;
        var ak = Math.Pow(GravityWgs72.Ke / kozai, 2.0 / 3);
        var d1 = 0.75 * GravityWgs72.J2 * (3 * c2 - 1) / (beta * beta2);
        var del = d1 / (ak * ak);
        var a = ak * (1 - del * del - del * (1.0 / 3 + 134 * del * del / 81));
        MeanMotion = kozai / (1 + d1 / (a * a));
        SemiMajorAxis = Math.Pow(GravityWgs72.Ke / MeanMotion, 2.0 / 3);

        var p = SemiMajorAxis * beta2;
        var inverseP2 = 1 / (p * p);
        var t1 = 1.5 * GravityWgs72.J2 * inverseP2 * MeanMotion;
        var t2 = 0.5 * t1 * GravityWgs72.J2 * inverseP2;
        var t3 = -0.46875 * GravityWgs72.J4 * inverseP2 * inverseP2 * MeanMotion;
        MeanAnomalyRate = MeanMotion + 0.5 * t1 * beta * (3 * c2 - 1) + 0.0625 * t2 * beta * (13 - 78 * c2 + 137 * c4);
        PerigeeRate = -0.5 * t1 * (1 - 5 * c2) + 0.0625 * t2 * (7 - 114 * c2 + 395 * c4) + t3 * (3 - 36 * c2 + 49 * c4);
        NodeRateJ2 = -t1 * CosI;
        NodeRate = NodeRateJ2 + (0.5 * t2 * (4 - 19 * c2) + 2 * t3 * (3 - 7 * c2)) * CosI;
    }
}
