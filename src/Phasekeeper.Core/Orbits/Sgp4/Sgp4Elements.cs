namespace Phasekeeper.Core.Orbits.Sgp4;

/// <summary>Elements of the moment while they are carried through the theory: rad, rad/min.</summary>
internal struct Sgp4Elements
{
    public double Eccentricity;
    public double Inclination;
    public double Node;
    public double Perigee;
    public double MeanAnomaly;
    public double MeanMotion;
}
