namespace Phasekeeper.Core.Time;

/// <summary>Time scale of a calendar date and time in a file.</summary>
public enum CalendarScale
{
    /// <summary>Coordinated universal time, with leap seconds.</summary>
    Utc,
    /// <summary>International atomic time.</summary>
    Tai,
    /// <summary>GPS time, TAI − 19 s.</summary>
    Gps,
    /// <summary>Terrestrial time, TAI + 32.184 s.</summary>
    Tt,
}
