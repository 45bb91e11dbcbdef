using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Annotations;
using Phasekeeper.Web.Features.People;
using Phasekeeper.Web.Shared.Addresses;

namespace Phasekeeper.Web.Features.SharedViews;

/// <summary>All shared views, and the newest notes on stretches of time.</summary>
public sealed partial class ViewsPage(Stores stores, AnnotationDesk notesDesk, ICurrentActor actor)
{
    // Chosen: what is older is found on the plots of its time, and in the record.
    private const int MostNotes = 50;
    private IReadOnlyList<SharedViewRow> views = [];
    private IReadOnlyList<AnnotationRow> notes = [];
    private string? refusal, told;

    /// <inheritdoc/>
    protected override bool Concerns(Change change) => change.Kind == ChangeKind.SharedView;

    /// <inheritdoc/>
    protected override Func<Action> Loader(AddressReader address) => () =>
    {
        var (readViews, readNotes) = (stores.SharedViews.List(), stores.Annotations.Newest(MostNotes));
        return () => (views, notes) = (readViews, readNotes);
    };

    private async Task Done(string done)
    {
        (refusal, told) = (null, done);
        await LoadAsync();
    }

    private async Task RetireAsync(AnnotationRow note)
    {
        (refusal, told) = (null, null);
        try
        {
            await notesDesk.RetireAsync(note.Id, await actor.GetAsync(Roles.Operator));
            told = $"The note “{note.Text}” is retired.";
        }
        catch (Exception stated) when (stated is RequestRefusedException or AccessDeniedException)
        {
            refusal = stated.Message;
        }
        await LoadAsync();
    }
}
