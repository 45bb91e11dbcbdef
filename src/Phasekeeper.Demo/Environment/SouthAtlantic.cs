namespace Phasekeeper.Demo.Environment;

/// <summary>
/// Where energetic particles hit the detector: a bell over the South Atlantic on top of a small rate everywhere
/// (shape after published maps of the anomaly at 500–600 km: centre near 27° S, 48° W).
/// </summary>
public static class SouthAtlantic
{
    /// <summary>Centre, degrees north.</summary>
    public const double LatitudeDeg = -27;
    /// <summary>Centre, degrees east.</summary>
    public const double LongitudeDeg = -48;
    /// <summary>Hits a second in one view and line, everywhere.</summary>
    public const double QuietPerS = 0.012;
    /// <summary>Hits a second in one view and line at the centre.</summary>
    public const double PeakPerS = 1.2;

    /// <summary>The bell at a place, 0…1.</summary>
    public static double ShapeAt(double latitudeDeg, double longitudeDeg)
    {
        var x = (longitudeDeg - LongitudeDeg + 540) % 360 - 180;
        var y = latitudeDeg - LatitudeDeg;
        return Math.Exp(-0.5 * (x * x / (20.0 * 20.0) + y * y / (11.0 * 11.0)));
    }
}
