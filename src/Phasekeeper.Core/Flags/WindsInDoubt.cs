namespace Phasekeeper.Core.Flags;

/// <summary>The winds that a flag puts in doubt: all of the orbits it touches, limited as stated.</summary>
/// <param name="View">Only this view; null = both.</param>
/// <param name="Line">Only this line; null = all.</param>
/// <param name="LowKm">Lowest altitude in doubt, km; null = from the bottom.</param>
/// <param name="HighKm">Highest altitude in doubt, km; null = to the top.</param>
/// <param name="Why">What may be wrong with them, in words.</param>
public sealed record WindsInDoubt(string? View, string? Line, double? LowKm, double? HighKm, string Why)
{
    /// <summary>One sentence for the screen.</summary>
    public string Sentence(int firstOrbit, int lastOrbit)
    {
        var view = View is null ? "both views" : $"view {View}";
        var line = Line is null ? "all lines" : $"the {Line} line";
        var height = (LowKm, HighKm) switch
        {
            (null, null) => "at all altitudes",
            ({ } low, null) => $"above {FlagText.Number(low)} km",
            (null, { } high) => $"below {FlagText.Number(high)} km",
            ({ } low, { } high) => $"between {FlagText.Number(low)} and {FlagText.Number(high)} km",
        };
        return $"Winds of {FlagText.Orbits(firstOrbit, lastOrbit)}, {view}, {line}, {height}: {Why}.";
    }
}
