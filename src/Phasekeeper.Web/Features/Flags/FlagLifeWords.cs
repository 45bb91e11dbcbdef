using Phasekeeper.Core.Flags.Life;

namespace Phasekeeper.Web.Features.Flags;

/// <summary>Steps of a flag's life as buttons and answers say them.</summary>
public static class FlagLifeWords
{
    /// <summary>Text of the button.</summary>
    public static string Button(LifeStepKind kind) => kind switch
    {
        LifeStepKind.Take => "Take",
        LifeStepKind.HandOver => "Hand over",
        LifeStepKind.Release => "Release",
        LifeStepKind.Explain => "Explain",
        LifeStepKind.Settle => "Settle",
        LifeStepKind.Reopen => "Reopen",
        _ => throw new ArgumentOutOfRangeException(nameof(kind), kind, "Unknown step."),
    };

    /// <summary>What was done, behind "3 flags".</summary>
    public static string Done(LifeStepKind kind) => kind switch
    {
        LifeStepKind.Take => "taken",
        LifeStepKind.HandOver => "handed over",
        LifeStepKind.Release => "released",
        LifeStepKind.Explain => "explained",
        LifeStepKind.Settle => "settled",
        LifeStepKind.Reopen => "reopened",
        _ => throw new ArgumentOutOfRangeException(nameof(kind), kind, "Unknown step."),
    };

    /// <summary>What the button does, for its tool tip.</summary>
    public static string Meaning(LifeStepKind kind) => kind switch
    {
        LifeStepKind.Take => "You have it from now on, and answer for it.",
        LifeStepKind.HandOver => "The chosen person has it from now on.",
        LifeStepKind.Release => "Nobody has it any more.",
        LifeStepKind.Explain => "States the cause; the note says what happened and how it is known.",
        LifeStepKind.Settle => "Nothing is left to do. New data that make more of it reopen it.",
        LifeStepKind.Reopen => "It needs a look again; the note says why.",
        _ => throw new ArgumentOutOfRangeException(nameof(kind), kind, "Unknown step."),
    };
}
