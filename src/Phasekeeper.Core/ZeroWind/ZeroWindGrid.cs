namespace Phasekeeper.Core.ZeroWind;

/// <summary>
/// Bins of latitude, local time and altitude in which the mean wind is one unknown vector (domain.md section 4). Chosen: 10° and 1 h, within which a tide of 100 m/s
/// changes by less than its day-to-day variation, and altitudes finer where winds turn with height. Stored sums carry the grid's version; sums of another version are made anew.
/// </summary>
public static class ZeroWindGrid
{
    /// <summary>Version of the bins.</summary>
    public const int Version = 1;
    /// <summary>Height of a bin in latitude, degrees.</summary>
    public const double LatitudeStepDeg = 10;
    /// <summary>Bins from pole to pole.</summary>
    public const int Latitudes = 18;
    /// <summary>Bins of one hour of local solar time.</summary>
    public const int Hours = 24;
    /// <summary>Edges of the altitude bins, km; winds outside are not used.</summary>
    public static readonly IReadOnlyList<double> AltitudeEdgesKm = [80, 90, 100, 110, 125, 145, 175, 210, 250, 320];
    /// <summary>Number of altitude bins.</summary>
    public static readonly int Altitudes = AltitudeEdgesKm.Count - 1;
    /// <summary>Number of bins.</summary>
    public static readonly int Count = Latitudes * Hours * Altitudes;

    /// <summary>Bin of a place; −1 outside the altitudes or for numbers that are not finite.</summary>
    public static int Of(double latitudeDeg, double localSolarTimeH, double altitudeKm)
    {
        if (!(Math.Abs(latitudeDeg) <= 90) || !(localSolarTimeH is >= 0 and < 24) || !(altitudeKm >= AltitudeEdgesKm[0])) return -1;
        var altitude = 0;
        while (altitude < Altitudes && altitudeKm >= AltitudeEdgesKm[altitude + 1]) altitude++;
        if (altitude == Altitudes) return -1;
        var latitude = Math.Min(Latitudes - 1, (int)Math.Floor((latitudeDeg + 90) / LatitudeStepDeg));
        return (latitude * Hours + (int)localSolarTimeH) * Altitudes + altitude;
    }

    /// <summary>Column of latitude and hour that a bin stands in: latitude bin · 24 + hour.</summary>
    public static int ColumnOf(int bin) => bin / Altitudes;

    /// <summary>Altitude bin of a bin.</summary>
    public static int AltitudeOf(int bin) => bin % Altitudes;

    /// <summary>Latitude bin of a bin, from the south.</summary>
    public static int LatitudeOf(int bin) => bin / (Hours * Altitudes);
}
