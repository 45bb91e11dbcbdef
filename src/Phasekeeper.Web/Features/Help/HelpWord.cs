namespace Phasekeeper.Web.Features.Help;

/// <summary>A word of the trade as pages use it.</summary>
/// <param name="Word">The word.</param>
/// <param name="Meaning">What is meant, for someone new.</param>
public sealed record HelpWord(string Word, string Meaning)
{
    /// <summary>Id of its place on the help page.</summary>
    public string Id => "word-" + Word.ToLowerInvariant().Replace(' ', '-');

    /// <summary>All words, in the order of the alphabet.</summary>
    public static readonly IReadOnlyList<HelpWord> All =
    [
        new("ascending node", "Where the satellite crosses the equator northward. Orbits begin there and are numbered by it."),
        new("beta angle", "Angle between the Sun and the plane of the orbit, degrees. It decides how much of an orbit lies in shadow, and so the swing of temperatures."),
        new("coefficient set", "All numbers that turn telemetry into winds. It is proposed, decided and never changed; every product names the set that it was made with."),
        new("eclipse", "The part of an orbit in which the satellite is in the Earth's shadow."),
        new("expected flag", "A flag of a kind that a planned activity is known to cause. It is marked with the activity and stays in every list."),
        new("exposure", "One picture of the detector: of the scene, the lamp, the closed shutter (dark) or a uniform source (flat)."),
        new("fiducial", "One of two notches ruled on the optics, seen in every row; their places tell the image shift."),
        new("housekeeping", "Telemetry of the instrument's own state: temperatures, voltages, switches."),
        new("image shift", "How far the picture has moved along the rows, in samples. It moves fringes and fiducials, and would be taken for wind."),
        new("known event", "Something that happened, noted by the team with its times. Rehearsals count which rules find it and which miss it."),
        new("lamp ratio", "The coefficient that turns a drift seen with the lamp into the drift of the airglow's fringes."),
        new("OPD", "Optical path difference of the two arms, some 5 cm: the longer it is, the more a wind moves the fringes."),
        new("overrun", "An effect that was expected of a planned activity and goes on beyond its end and settling time."),
        new("planned activity", "Something that people do with the satellite on purpose, such as a manoeuvre or a lamp test. It marks the flags that are expected of it, and hides none."),
        new("quarantine", "Where data wait that could not be decoded or used; nothing is thrown away by the program."),
        new("rehearsal", "A rule replayed over stored data as if it had been in force: which flags it would have raised. Nothing changes by it."),
        new("residual", "Measured minus expected. The thermal residual is the scatter of the lamp's phase about the approved model."),
        new("row", "One row of the detector: one altitude at the Earth's limb."),
        new("settling time", "How long the effects of a planned activity may last after its end. What is still flagged later is an overrun, and a flag itself."),
        new("sign-off", "A person's decision that a day's winds can be used, or are held."),
        new("tangent point", "The point of a line of sight that is nearest to the Earth; a row's altitude is its height."),
        new("view", "One of the two looking directions, at right angles to each other; both together give the wind's two components."),
        new("visibility", "Contrast of the fringes, between 0 and 1; pages show it relative to its reference."),
        new("zero-wind phase", "The phase that a row would have without wind; what it is off by shows as wind where there is none."),
    ];
}
