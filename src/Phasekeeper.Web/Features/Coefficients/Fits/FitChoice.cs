using System.Text.RegularExpressions;
using Phasekeeper.Core.Coefficients.Fits;
using Phasekeeper.Pipeline.Coefficients.Fits;
using Phasekeeper.Storage;
using Phasekeeper.Web.Shared.Addresses;

namespace Phasekeeper.Web.Features.Coefficients.Fits;

/// <summary>What is to be fitted on which orbits, as the page's address says it.</summary>
/// <param name="First">First orbit of the window.</param>
/// <param name="Last">Last orbit.</param>
/// <param name="HoldOutEvery">Every so-many-th orbit is held out; 0: none.</param>
/// <param name="Parts">What is fitted.</param>
public sealed record FitChoice(int First, int Last, int HoldOutEvery, IReadOnlyList<FitPart> Parts)
{
    /// <summary>Orbits that a window begins with. Chosen: a day.</summary>
    public const int DefaultOrbits = 15;

    /// <summary>Largest distance of held-out orbits (chosen: beyond that nearly none is held out).</summary>
    public const int LargestHoldOut = 50;

    private const int DefaultHoldOut = 4;

    // The law that moves most from week to week: what a first look is for.
    private static readonly FitPart[] DefaultParts = [FitPart.ThermalSlope, FitPart.ThermalLag, FitPart.LampReference];

    /// <summary>Word of a part in the address.</summary>
    public static string Word(FitPart part) => Regex.Replace(part.ToString(), "(?<!^)([A-Z])", "-$1").ToLowerInvariant();

    /// <summary>The parts as one word of the address.</summary>
    public string PartsWord => string.Join(',', Parts.Select(Word));

    /// <summary>The request; null where the window ends before it begins, or nothing is to be fitted.</summary>
    public FitRequest? Request => First <= Last && Parts.Count > 0 ? new() { FirstOrbit = First, LastOrbit = Last, HoldOutEvery = HoldOutEvery, Parts = Parts } : null;

    /// <summary>True for the same choice.</summary>
    public bool IsSame(FitChoice? other) => other is not null && (First, Last, HoldOutEvery, PartsWord) == (other.First, other.Last, other.HoldOutEvery, other.PartsWord);

    /// <summary>Reads the address; what it does not say is the newest complete orbits. Null before there is any.</summary>
    public static FitChoice? Read(AddressReader address, string? first, string? last, string? holdOut, string? parts, Stores stores)
    {
        ArgumentNullException.ThrowIfNull(address);
        ArgumentNullException.ThrowIfNull(stores);
        const string newest = "The newest complete orbits are chosen";
        var (from, to) = (address.Whole("first", first, -9_999_999, 9_999_999, newest), address.Whole("last", last, -9_999_999, 9_999_999, newest));
        var every = address.Whole("holdout", holdOut, 0, LargestHoldOut, $"Every {DefaultHoldOut}th orbit is held out");
        var wanted = ReadParts(address, parts);
        var whole = stores.Orbits.Newest(4 * DefaultOrbits).Where(o => o is { Provisional: false, ReceivedExposures: > 0 }).Take(DefaultOrbits).Select(o => o.Orbit).ToArray();
        if (whole.Length == 0) whole = [.. stores.Orbits.Newest(DefaultOrbits).Where(o => o.ReceivedExposures > 0).Select(o => o.Orbit)];
        if (whole.Length == 0 && (from is null || to is null)) return null;
        if (from > to)
        {
            address.Note("last", last!, $"an orbit at or after first={from}", newest);
            (from, to) = (null, null);
        }
        // One end alone: the other one lies a day away.
        var end = (int)(to ?? (from is { } f ? f + DefaultOrbits - 1 : whole.Max()));
        return new((int)(from ?? (to is null ? whole.Min() : to - DefaultOrbits + 1)), end, (int)(every ?? DefaultHoldOut), wanted ?? DefaultParts);
    }

    private static FitPart[]? ReadParts(AddressReader address, string? text)
    {
        if (string.IsNullOrEmpty(text)) return null;
        var known = Enum.GetValues<FitPart>().ToDictionary(Word);
        var words = text.Split(',', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries);
        if (words.Length > 0 && words.All(known.ContainsKey)) return [.. words.Select(w => known[w]).Distinct().Order()];
        address.Note("parts", text, "some of " + string.Join(", ", known.Keys), "The thermal law is chosen");
        return null;
    }
}
