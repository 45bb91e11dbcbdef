using Microsoft.AspNetCore.Components;
using Microsoft.AspNetCore.Components.Forms;
using Phasekeeper.Pipeline.Intake;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api;
using Phasekeeper.Web.Features.People;
using Phasekeeper.Web.Shared.Numbers;

namespace Phasekeeper.Web.Features.Vouch;

/// <summary>Sets of independent winds: bring one, see what became of it, forget it.</summary>
public sealed partial class SetsPanel(IntakeService intake, Stores stores, ICurrentActor actor)
{
    // Chosen: this way goes through the circuit; larger sets come by the inbox or the API.
    private const long LargestBytes = 64_000_000;

    private string? said;
    private long? asked;

    /// <summary>The sets.</summary>
    [Parameter, EditorRequired]
    public IReadOnlyList<ComparisonSet> Sets { get; set; } = [];

    /// <summary>Called when a set came or went.</summary>
    [Parameter]
    public EventCallback OnChanged { get; set; }

    private async Task TakeAsync(InputFileChangeEventArgs change)
    {
        await actor.GetAsync(Roles.Analyst);
        var file = change.File;
        if (file.Size > LargestBytes)
        {
            said = $"{file.Name} has {NumberText.Bytes(file.Size)}; at most {NumberText.Bytes(LargestBytes)} can be sent here. Put it into the inbox folder instead.";
            return;
        }
        using var content = new MemoryStream();
        try
        {
            await using var stream = file.OpenReadStream(LargestBytes);
            await stream.CopyToAsync(content);
        }
        catch (IOException e)
        {
            said = $"{file.Name} did not arrive whole: {e.Message} Send it again.";
            return;
        }
        var (mistakes, answer) = await ComparisonsApi.TakeAsync(content.ToArray(), ApiWords.Of(Intake.IntakeRoad.Upload), ComparisonsApi.CleanName(file.Name), await actor.GetAsync(Roles.Analyst), intake, stores, CancellationToken.None);
        said = mistakes ?? (answer!.Added ? $"{file.Name}: {NumberText.Whole(answer.Winds)} winds taken in. They are laid beside ours orbit by orbit; the page follows." : $"{file.Name} is known already.");
        await OnChanged.InvokeAsync();
    }

    // A second click forgets: the file can be brought again, its pairs are then made anew.
    private async Task DeleteAsync(AuxiliaryRow row)
    {
        if (asked != row.Id)
        {
            asked = row.Id;
            return;
        }
        asked = null;
        await ComparisonsApi.ForgetAsync(stores, row.Id, await actor.GetAsync(Roles.Analyst));
        said = $"{row.Name} is forgotten.";
        await OnChanged.InvokeAsync();
    }
}
