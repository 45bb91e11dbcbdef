using Microsoft.AspNetCore.Components;
using Phasekeeper.Core.Flags.Life;
using Phasekeeper.Pipeline.Assessment;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.People;

namespace Phasekeeper.Web.Features.Flags;

/// <summary>The form of a flag's next step.</summary>
public sealed partial class FlagStepForm(FlagSteps steps, FlagTeams teams, ICurrentActor actor)
{
    private string? note;
    private string cause = "", to = "";

    // What the person saw when they began to write: a step that was made up then is judged by it, though the page has followed on.
    private long? wroteAt;

    /// <summary>The flag.</summary>
    [Parameter, EditorRequired]
    public FlagRow Flag { get; set; } = default!;

    /// <summary>Its life.</summary>
    [Parameter, EditorRequired]
    public FlagLife Life { get; set; } = default!;

    /// <summary>Name of who looks at the page.</summary>
    [Parameter, EditorRequired]
    public string Me { get; set; } = "";

    private FlagTeam Team { get; set; } = new([], []);

    private IReadOnlyList<LifeStepKind> Allowed { get; set; } = [];

    private string Now => Life switch
    {
        { Stands: false } => "Later data removed its ground, so there is nothing to do. If the ground comes back it is raised again, with its history.",
        { State: LifeState.Settled } => $"Settled{(Life.Holder is { } by ? $"; {by} had it" : "")}. New data that make more of it reopen it.",
        { Holder: { } holder } when holder == Me => "You have it.",
        { Holder: { } holder } => $"{holder} has it.",
        _ => "Nobody has it.",
    };

    /// <inheritdoc/>
    protected override void OnParametersSet()
    {
        Team = teams.Current();
        Allowed = LifeRules.Allowed(Life, Me, operates: true);
    }

    private void Write() => wroteAt ??= Life.Revision;

    private Task StepAsync(LifeStepKind kind) => DoAsync(async () =>
    {
        try
        {
            var step = new LifeStep(kind, note, cause.Length > 0 && kind is (LifeStepKind.Explain or LifeStepKind.Settle) ? cause : null, kind == LifeStepKind.HandOver ? to : null);
            await steps.TakeAsync(new(Flag.Id, wroteAt ?? Life.Revision), step, await actor.GetAsync(Roles.Operator), teams.Current());
            (note, cause, to, wroteAt) = (null, "", "", null);
        }
        catch (FlagConflictException first)
        {
            // Text and choices stay; the next click is about what the refusal tells.
            wroteAt = first.Revision;
            throw;
        }
    });
}
