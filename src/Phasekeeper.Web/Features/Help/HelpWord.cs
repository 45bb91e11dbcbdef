namespace Phasekeeper.Web.Features.Help;

/// <summary>A word of the trade as pages use it.</summary>
/// <param name="Word">The word.</param>
/// <param name="Meaning">What is meant, for someone new.</param>
public sealed record HelpWord(string Word, string Meaning)
{
    /// <summary>Id of its place on the help page.</summary>
    public string Id => "word-" + Word.ToLowerInvariant().Replace(' ', '-');

    /// <summary>Address of its place on the help page.</summary>
    public string Href => "/help#" + Id;

    /// <summary>All words, in the order of the alphabet.</summary>
    public static readonly IReadOnlyList<HelpWord> All =
    [
        new("ascending node", "Where the satellite crosses the equator northward. Orbits begin there and are numbered by it."),
        new("averaging kernel", "How much each altitude of the true wind counts in a retrieved one. Other winds are seen through it before they are compared."),
        new("beta angle", "Angle between the Sun and the plane of the orbit, degrees. It decides how much of an orbit lies in shadow, and so the swing of temperatures."),
        new("chain", "The record's entries, each with the hash of the one before: an entry that is changed or missing shows."),
        new("channel", "One quantity of the telemetry, calibrated, with the limits of its definition."),
        new("coefficient set", "All numbers that turn telemetry into winds. It is proposed, decided and never changed; every product names the set that it was made with."),
        new("completeness", "Rows of the detector that arrived, of those that were expected."),
        new("digest", "One message with all that happened since the last one, at the hours that its receiver chose."),
        new("eclipse", "The part of an orbit in which the satellite is in the Earth's shadow."),
        new("error budget", "The parts of a wind's uncertainty, from photon noise to attitude. Their squares add up to the square of the reported σ."),
        new("escalation", "When nobody takes a critical flag, the people of a list are told, each after their minutes, until somebody has it."),
        new("evidence", "What a decision rests on. Of a proposed coefficient set: what it would change, computed from the archive with both sets by the ordinary code; no part of it is typed, and it is computed again when the set that it compares with is no longer in force. Of a flag: value, limit, and the rule with its version."),
        new("expected flag", "A flag of a kind that a planned activity is known to cause. It is marked with the activity and stays in every list."),
        new("exposure", "One picture of the detector: of the scene, the lamp, the closed shutter (dark) or a uniform source (flat)."),
        new("fiducial", "One of two notches ruled on the optics, seen in every row; their places tell the image shift."),
        new("flag", "One condition on one thing over one stretch of time: raised once, extended while it lasts, withdrawn with the reason when later data remove its ground."),
        new("forecast", "When a tracker would cross its limit if its trend went on. It advises and decides nothing."),
        new("ground of a report", "The versions of all data that a report was made of. “Made before later data” says that they are others by now; it can be made again."),
        new("hand-over note", "What one shift leaves to the next, in the words of whoever wrote it, beside the day."),
        new("held", "Kept back. Winds that a person holds, with their day or with an orbit by itself, keep their numbers, are marked everywhere and left out of means, comparisons and the zero wind."),
        new("held out", "Of orbits: not seen by a fit, so that they tell how its numbers do on orbits to come."),
        new("housekeeping", "Telemetry of the instrument's own state: temperatures, voltages, switches."),
        new("image shift", "How far the picture has moved along the rows, in samples. It moves fringes and fiducials, and would be taken for wind."),
        new("known event", "Something that happened, noted by the team with its times. Rehearsals count which rules find it and which miss it."),
        new("lamp ratio", "The coefficient that turns a drift seen with the lamp into the drift of the airglow's fringes."),
        new("line", "One of the two lines of the airglow that are observed: green (557.7 nm) and red (630.0 nm)."),
        new("mission time", "Time of the newest accepted packet, UTC. “The last 24 h” count from it."),
        new("OPD", "Optical path difference of the two arms, some 5 cm: the longer it is, the more a wind moves the fringes."),
        new("overrun", "An effect that was expected of a planned activity and goes on beyond its end and settling time."),
        new("pinned note", "A line of text on a stretch of mission time. Every plot of that time shows it, until it is retired."),
        new("planned activity", "Something that people do with the satellite on purpose, such as a manoeuvre or a lamp test. It marks the flags that are expected of it, and hides none."),
        new("provisional", "Computed, but data that it leans on have not arrived yet: it can still change."),
        new("quality", "Good, doubtful or bad, of every wind, with the reasons; bad ones are not to be used."),
        new("quarantine", "Where data wait that could not be decoded or used; nothing is thrown away by the program."),
        new("quiet hours", "Times of every day at which a person is sent nothing; what happens in them comes together at their end."),
        new("rehearsal", "A rule replayed over stored data as if it had been in force: which flags it would have raised. Nothing changes by it."),
        new("residual", "Measured minus expected. The thermal residual is the scatter of the lamp's phase about the approved model."),
        new("role", "What an account may do: viewer, operator, analyst, calibration-lead or administrator."),
        new("row", "One row of the detector: one altitude at the Earth's limb."),
        new("settling time", "How long the effects of a planned activity may last after its end. What is still flagged later is an overrun, and a flag itself."),
        new("shared view", "A page's address, which holds all that the page shows, kept under a name for the team."),
        new("sign-off", "A person's decision that a day's winds can be used, or are held."),
        new("tangent point", "The point of a line of sight that is nearest to the Earth; a row's altitude is its height."),
        new("token", "A secret with which a script speaks for its owner: for bringing data alone or for a role, up to a year."),
        new("tracker", "Something that drifts, as one value an orbit with its uncertainty, held against limits and the approved coefficients."),
        new("verdict", "Whether an orbit or a day is usable, usable with remarks, or held. The program proposes a day's, with reasons; a person confirms or overrules it."),
        new("view", "One of the two looking directions, at right angles to each other; both together give the wind's two components."),
        new("visibility", "Contrast of the fringes, between 0 and 1; pages show it relative to its reference."),
        new("webhook", "A request (HTTP POST, JSON) that tells a program of yours of flags, signed so that it can be checked."),
        new("zero wind", "The offset that corrected winds have by view and line, estimated from winds of both legs of the orbit at the same places and local times, once the geometry can tell."),
        new("zero-wind phase", "The phase that a row would have without wind; what it is off by shows as wind where there is none."),
    ];
}
