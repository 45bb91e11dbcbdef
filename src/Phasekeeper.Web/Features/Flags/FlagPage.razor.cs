using Microsoft.AspNetCore.Components;
using Phasekeeper.Pipeline.Assessment;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.People;
using Phasekeeper.Web.Shared.Addresses;

namespace Phasekeeper.Web.Features.Flags;

/// <summary>One flag: what was found, its evidence, its life, and the step of taking note.</summary>
public sealed partial class FlagPage(Stores stores, FlagSteps steps, ICurrentActor actor)
{
    /// <summary>Longest note, characters (chosen: a page of text).</summary>
    public const int LongestNote = 2000;

    private readonly FlagQueries queries = new(stores);
    private FlagDetailView? detail;
    private string? note;
    private string? refusal;
    private bool busy;

    /// <summary>Id of the flag.</summary>
    [Parameter]
    public string Id { get; set; } = "";

    /// <inheritdoc/>
    protected override bool Concerns(Change change) => change.Kind is ChangeKind.Flag or ChangeKind.Orbit;

    /// <inheritdoc/>
    protected override Func<Action> Loader(AddressReader address)
    {
        var (mission, id) = (Mission!, Id);
        return () =>
        {
            var read = queries.Detail(mission, id);
            return () => detail = read;
        };
    }

    private async Task AcknowledgeAsync()
    {
        busy = true;
        refusal = null;
        try
        {
            await steps.TakeAsync(Id, FlagSteps.Acknowledge, await actor.GetAsync(Roles.Operator), note);
            note = null;
        }
        catch (InvalidOperationException stated)
        {
            // The rules have withdrawn it meanwhile, or the role was taken away.
            refusal = stated.Message;
        }
        finally
        {
            busy = false;
        }
        await LoadAsync();
    }
}
