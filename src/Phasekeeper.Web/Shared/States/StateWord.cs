namespace Phasekeeper.Web.Shared.States;

/// <summary>Which colour stands for a state. The meaning is also in its symbol and word: colour is never alone.</summary>
public enum StateTone
{
    /// <summary>As it should be.</summary>
    Good,
    /// <summary>Worth knowing.</summary>
    Notice,
    /// <summary>Needs a look.</summary>
    Warning,
    /// <summary>Needs a person now.</summary>
    Critical,
    /// <summary>Not final: what it depends on has not arrived.</summary>
    Provisional,
    /// <summary>Kept back by a person.</summary>
    Held,
    /// <summary>Something is missing.</summary>
    Incomplete,
}

/// <summary>A state as the contract spells it, with how it is shown.</summary>
/// <param name="Word">Word of the contract, also the word on screen.</param>
/// <param name="Tone">Colour.</param>
/// <param name="Meaning">One sentence for a tool tip and the help page.</param>
/// <param name="SymbolPath">SVG path of the symbol in a 16 × 16 box, drawn as a line; each state has its own shape.</param>
public sealed record StateWord(string Word, StateTone Tone, string Meaning, string SymbolPath)
{
    private const string Tick = "M3 8.5l3.5 3.5L13 4.5";
    private const string Triangle = "M8 2.3 14.6 13.5H1.4zM8 6.5v3M8 11.4v.1";
    private const string Octagon = "M5.3 1.7h5.4l3.6 3.6v5.4l-3.6 3.6H5.3l-3.6-3.6V5.3zM5.7 5.7l4.6 4.6M10.3 5.7l-4.6 4.6";
    private const string Info = "M8 1.7a6.3 6.3 0 1 0 0 12.6A6.3 6.3 0 0 0 8 1.7zM8 7.3v3.7M8 4.9v.1";
    private const string Note = "M2.5 2.5h11v7.5L10 13.5H2.5zM10 13.5V10h3.5M5 5.7h6M5 8.3h3";
    private const string Pause = "M2.5 2.5h11v11h-11zM6.3 5.5v5M9.7 5.5v5";
    private const string Hourglass = "M4 1.7h8M4 14.3h8M5 1.7c0 3 1.5 4.5 3 6.3 1.5-1.8 3-3.3 3-6.3M5 14.3c0-3 1.5-4.5 3-6.3 1.5 1.8 3 3.3 3 6.3";
    private const string Broken = "M8 1.7a6.3 6.3 0 0 1 5.5 3.2M14.3 8a6.3 6.3 0 0 1-2.4 4.9M8.6 14.3a6.3 6.3 0 0 1-5.2-2M1.8 9a6.3 6.3 0 0 1 1.3-5";
    private const string Person = "M8 2.2a2.8 2.8 0 1 0 0 5.6 2.8 2.8 0 0 0 0-5.6zM2.6 14c.4-3 2.6-4.7 5.4-4.7s5 1.7 5.4 4.7";
    private const string Turn = "M13 8a5 5 0 1 1-1.6-3.7M13 1.8v3.2H9.8";
    private const string Dash = "M3 8h10";

    /// <summary>All states: verdicts of orbits, states of tracker values, severities and states of flags, qualities of winds.</summary>
    public static readonly IReadOnlyList<StateWord> All =
    [
        new("usable", StateTone.Good, "Everything arrived and nothing speaks against it.", Tick),
        new("remarks", StateTone.Notice, "Usable, with remarks: read the flags before using the winds.", Note),
        new("held", StateTone.Held, "Kept back: a critical flag or a person holds the winds of this orbit.", Pause),
        new("incomplete", StateTone.Incomplete, "Expected data have not arrived.", Broken),
        new("normal", StateTone.Good, "Within limits.", Tick),
        new("notice", StateTone.Notice, "Worth knowing; nothing to do at once.", Info),
        new("warning", StateTone.Warning, "Outside its warning limit: needs a look.", Triangle),
        new("critical", StateTone.Critical, "Outside its critical limit: needs a person.", Octagon),
        new("provisional", StateTone.Provisional, "Not final: data that the value depends on have not arrived.", Hourglass),
        new("good", StateTone.Good, "Nothing speaks against the value.", Tick),
        new("doubtful", StateTone.Warning, "A reason speaks against the value; it is listed beside it.", Triangle),
        new("bad", StateTone.Critical, "Not to be used; the reason is listed beside it.", Octagon),
        new("raised", StateTone.Warning, "Found, and nobody has it yet.", Triangle),
        new("taken", StateTone.Notice, "A person has it.", Person),
        new("settled", StateTone.Good, "Nothing is left to do.", Tick),
        new("reopened", StateTone.Warning, "Was explained or settled, and needs a look again.", Turn),
        new("withdrawn", StateTone.Incomplete, "Later data removed its ground.", Dash),
        new("explained", StateTone.Notice, "Its cause is known.", Info),
        new("waiting", StateTone.Warning, "Waits for a person.", Hourglass),
        new("retried", StateTone.Good, "A retry took it out.", Tick),
        new("discarded", StateTone.Incomplete, "Discarded by a person; kept on record.", Dash),
    ];

    private static readonly Dictionary<string, StateWord> ByWord = All.ToDictionary(state => state.Word, StringComparer.OrdinalIgnoreCase);

    /// <summary>The state of a word; a word that is not known is shown as it is, in the colour of "incomplete".</summary>
    public static StateWord Of(string word) =>
        ByWord.TryGetValue(word, out var state) ? state : new StateWord(word, StateTone.Incomplete, word, Dash);

    /// <summary>CSS class of the tone.</summary>
    public string CssClass => "state-" + Tone.ToString().ToLowerInvariant();

}
