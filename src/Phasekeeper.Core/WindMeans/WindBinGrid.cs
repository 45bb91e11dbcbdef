namespace Phasekeeper.Core.WindMeans;

/// <summary>
/// Bins of latitude, local solar time and altitude in which winds are averaged and compared. Chosen: 10° and 2 h, so that a day's orbits meet the same bins again and a tide changes little within one;
/// heights finer where winds turn within tens of km, coarser where the air is thin and alike.
/// </summary>
public static class WindBinGrid
{
    /// <summary>Version of the bins: stored sums of another version are made anew.</summary>
    public const int Version = 1;
    /// <summary>Height of a bin in latitude, degrees.</summary>
    public const int LatitudeStepDeg = 10;
    /// <summary>Bins from pole to pole.</summary>
    public const int Latitudes = 180 / LatitudeStepDeg;
    /// <summary>Width of a bin in local solar time, h.</summary>
    public const int HourStep = 2;
    /// <summary>Bins of local solar time.</summary>
    public const int Hours = 24 / HourStep;
    /// <summary>Edges of the altitude bins, km, lowest first.</summary>
    public static readonly IReadOnlyList<int> AltitudeEdgesKm = [60, 70, 80, 90, 100, 110, 125, 145, 175, 210, 250, 320, 400];
    /// <summary>Bins of altitude.</summary>
    public const int Altitudes = 12;
    /// <summary>Number of bins.</summary>
    public const int Count = Latitudes * Hours * Altitudes;

    /// <summary>Bin of a place: (altitude · latitudes + latitude) · hours + hour; −1 outside the altitudes or for numbers that are not finite.</summary>
    public static int Of(double latitudeDeg, double localSolarTimeH, double altitudeKm)
    {
        var altitude = AltitudeOf(altitudeKm);
        if (altitude < 0 || !(Math.Abs(latitudeDeg) <= 90) || !(localSolarTimeH is >= 0 and < 24)) return -1;
        var latitude = Math.Min(Latitudes - 1, (int)((latitudeDeg + 90) / LatitudeStepDeg));
        return (altitude * Latitudes + latitude) * Hours + (int)(localSolarTimeH / HourStep);
    }

    /// <summary>Altitude bin of a height; −1 outside.</summary>
    public static int AltitudeOf(double altitudeKm)
    {
        if (!(altitudeKm >= AltitudeEdgesKm[0] && altitudeKm < AltitudeEdgesKm[^1])) return -1;
        var bin = 0;
        while (altitudeKm >= AltitudeEdgesKm[bin + 1]) bin++;
        return bin;
    }

    /// <summary>Parts of a bin's number.</summary>
    public static (int Altitude, int Latitude, int Hour) Parts(int bin) => (bin / (Latitudes * Hours), bin / Hours % Latitudes, bin % Hours);

    /// <summary>Middle of an altitude bin, km.</summary>
    public static double MiddleKm(int altitude) => (AltitudeEdgesKm[altitude] + AltitudeEdgesKm[altitude + 1]) / 2.0;

    /// <summary>Middle of a latitude bin, degrees.</summary>
    public static double MiddleLatitudeDeg(int latitude) => -90 + (latitude + 0.5) * LatitudeStepDeg;

    /// <summary>Middle of a bin of local solar time, h.</summary>
    public static double MiddleHour(int hour) => (hour + 0.5) * HourStep;
}
