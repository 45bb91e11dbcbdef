using Microsoft.AspNetCore.Components;
using Phasekeeper.Core.Flags.Life;
using Phasekeeper.Pipeline.Assessment;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.People;

namespace Phasekeeper.Web.Features.Flags;

/// <summary>The bar of steps with many flags at once.</summary>
public sealed partial class FlagBulkBar(FlagSteps steps, FlagTeams teams, ICurrentActor actor)
{
    private static readonly IReadOnlyList<LifeStepKind> Offered = [LifeStepKind.Take, LifeStepKind.Explain, LifeStepKind.Settle, LifeStepKind.Release, LifeStepKind.Reopen];
    private IReadOnlyList<FlagStepResult> refused = [];
    private string? note, told, refusal;
    private string cause = "";
    private bool busy;

    /// <summary>What is selected: ids with the revisions that the person saw.</summary>
    [Parameter, EditorRequired]
    public IReadOnlyDictionary<string, long> Chosen { get; set; } = default!;

    /// <summary>Called with what came of a step.</summary>
    [Parameter]
    public EventCallback<IReadOnlyList<FlagStepResult>> OnDone { get; set; }

    /// <summary>Called to select nothing.</summary>
    [Parameter]
    public EventCallback OnClear { get; set; }

    private async Task StepAsync(LifeStepKind kind)
    {
        busy = true;
        (told, refusal, refused) = (null, null, []);
        try
        {
            var step = new LifeStep(kind, note, cause.Length > 0 && kind is (LifeStepKind.Explain or LifeStepKind.Settle) ? cause : null);
            var results = await steps.TakeManyAsync([.. Chosen.Select(c => new FlagAt(c.Key, c.Value))], step, await actor.GetAsync(Roles.Operator), teams.Current());
            refused = [.. results.Where(r => r.Refusal is not null)];
            var done = results.Count - refused.Count;
            told = done == 0 ? null : $"{(done == 1 ? "1 flag" : $"{done} flags")} {FlagLifeWords.Done(kind)}.";
            // What a person wrote stays as long as a flag is left for which it was meant.
            if (refused.Count == 0) (note, cause) = (null, "");
            await OnDone.InvokeAsync(results);
        }
        catch (InvalidOperationException stated)
        {
            refusal = stated.Message;
        }
        finally
        {
            busy = false;
        }
    }
}
