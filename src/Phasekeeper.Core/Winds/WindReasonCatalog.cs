using System.Collections.Concurrent;

namespace Phasekeeper.Core.Winds;

/// <summary>A reason why winds may not be good, or what else to know of them, as API, files and help show it.</summary>
/// <param name="Bit">Its place in stored masks: never given to another reason.</param>
/// <param name="Word">Machine word.</param>
/// <param name="Help">What it means, one sentence without numbers.</param>
public sealed record WindReasonInfo(int Bit, string Word, string Help);

/// <summary>
/// All reasons why a wind is not good, and what else to know of one: the one place of words and help texts. Results carry sentences with numbers; stored winds keep the words
/// (as bits) and are read back with the help text as the sentence.
/// </summary>
public static class WindReasonCatalog
{
    /// <summary>The sun stands near the view.</summary>
    public const string Sun = "sun-near-view";
    /// <summary>The Moon stands near the view.</summary>
    public const string Moon = "moon-near-view";
    /// <summary>The satellite is in the South Atlantic region.</summary>
    public const string SouthAtlantic = "south-atlantic";
    /// <summary>The edge of the Earth's shadow crosses the ray near its tangent point.</summary>
    public const string ShadowTransition = "shadow-transition";
    /// <summary>A planned activity moves the satellite or the instrument.</summary>
    public const string PlannedActivity = "planned-activity";
    /// <summary>The coefficient set is used before its validity.</summary>
    public const string CoefficientsExtended = "coefficients-extended";
    /// <summary>The orbit is from mean elements; leaves a wind good.</summary>
    public const string MeanElements = "mean-elements";

    /// <summary>Every reason, by bit.</summary>
    public static IReadOnlyList<WindReasonInfo> All { get; } =
    [
        new(0, "no-tangent-point", "The line of sight has no tangent point: it meets the Earth, or rises from the satellite on."),
        new(1, "no-phase", "The row has no phase: its packet is missing, too few samples are usable, or no fringe can be told from noise."),
        new(2, "fringe-misfit", "The fringe fit leaves more than noise explains."),
        new(3, "masked-samples", "A large share of the row's samples is masked."),
        new(4, "saturation", "Samples of the row are saturated."),
        new(5, "no-drift", "The interferometer's temperature is not known at this time, so the optical drift is not either."),
        new(6, "no-lamp", "No lamp exposure lies within reach: the drift is the thermal model's alone."),
        new(7, "temperature-gap", "Within five thermal lags after a gap of the interferometer's temperature."),
        new(8, "no-fiducials", "The image shift is the bench law's alone: no fiducial was measured in this stretch."),
        new(9, "weak-emission", "Little of the value comes from this height; the rest is the prior's."),
        new(10, "large-uncertainty", "The uncertainty is large."),
        new(11, "inversion-misfit", "The fitted profile misses the phases by more than their errors."),
        new(12, "too-few-rows", "Fewer than three rows of the exposure have a phase and a tangent point: nothing to invert."),
        new(13, "same-height", "The tangent point lies too near another row's for a layer of its own."),
        new(14, Sun, "The Sun stands near the view: stray light may bend the phases."),
        new(15, Moon, "The Moon stands near the view: stray light may bend the phases."),
        new(16, SouthAtlantic, "The satellite is in the South Atlantic region: energetic particles hit the detector."),
        new(17, ShadowTransition, "The edge of the Earth's shadow crosses the ray near the tangent point: light made by the Sun begins or ends there, faster than exposures 450 km apart can show."),
        new(18, PlannedActivity, "A planned activity moves the satellite or the instrument."),
        new(19, CoefficientsExtended, "The coefficient set is used before its validity begins."),
        new(20, "emission-gradient", "The emission changes along the ray: light from elsewhere may pass for this height's own."),
        new(21, MeanElements, "The orbit is from mean elements (two-line sets or OMM): the satellite's speed is known less well than from tabulated states, which the uncertainty holds; the wind may be good."),
        new(22, "layer-edge", "The light fades within the step to the next height, and the wind there is hardly known: how it changes in between is not measured."),
        new(23, "little-own-light", "Little of the row's light comes from its own height: what is not known of the bright layer's light moves the wind."),
    ];

    private static readonly Dictionary<string, WindReasonInfo> ByWord = All.ToDictionary(r => r.Word, StringComparer.Ordinal);

    /// <summary>The reason of a word.</summary>
    /// <exception cref="ArgumentException">No reason has this word: it must be added to <see cref="All"/>.</exception>
    public static WindReasonInfo Find(string word) => ByWord.TryGetValue(word, out var info) ? info
        : throw new ArgumentException($"Found the wind quality reason '{word}'; expected a word of {nameof(WindReasonCatalog)}.{nameof(All)}: add it there.", nameof(word));

    /// <summary>Bits of those reasons that allow at best the given quality (good: what else to know).</summary>
    public static ulong Mask(IEnumerable<WindQualityReason> reasons, WindQuality quality) =>
        reasons.Where(r => r.Quality == quality).Aggregate(0UL, (mask, r) => mask | 1UL << Find(r.Word).Bit);

    /// <summary>Reasons of masks, in the order of bits, with the help text as sentence.</summary>
    // Thousands of winds of a day share a few sets of reasons: each set is made once.
    public static IReadOnlyList<WindQualityReason> Reasons(ulong notes, ulong doubtful, ulong bad) => (notes | doubtful | bad) == 0 ? [] : Sets.GetOrAdd((notes, doubtful, bad), static masks =>
        [.. All.Where(r => ((masks.Notes | masks.Doubtful | masks.Bad) >> r.Bit & 1) != 0).Select(r => new WindQualityReason(
            (masks.Bad >> r.Bit & 1) != 0 ? WindQuality.Bad : (masks.Doubtful >> r.Bit & 1) != 0 ? WindQuality.Doubtful : WindQuality.Good, r.Word, r.Help))]);

    private static readonly ConcurrentDictionary<(ulong Notes, ulong Doubtful, ulong Bad), IReadOnlyList<WindQualityReason>> Sets = new();
}
