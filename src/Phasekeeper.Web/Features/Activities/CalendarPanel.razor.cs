using Microsoft.AspNetCore.Components;
using Microsoft.AspNetCore.Components.Forms;
using Phasekeeper.Pipeline.Activities;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.People;
using Phasekeeper.Web.Shared.Numbers;

namespace Phasekeeper.Web.Features.Activities;

/// <summary>Takes in a calendar in two steps: look, then take.</summary>
public sealed partial class CalendarPanel(ActivityDesk desk, ActivityImport import, ICurrentActor actor)
{
    private byte[] content = [];
    private string name = "";
    private ActivityPreview? preview;
    private string? refusal, done;
    private bool busy;

    /// <summary>Called when a calendar was taken in.</summary>
    [Parameter]
    public EventCallback OnDone { get; set; }

    private async Task LookAsync(InputFileChangeEventArgs chosen)
    {
        Forget();
        busy = true;
        try
        {
            name = ActivityImport.CleanName(chosen.File.Name);
            if (chosen.File.Size > ActivityImport.LargestBytes)
            {
                refusal = ActivityImport.TooLarge;
                return;
            }
            using var bytes = new MemoryStream();
            await using var stream = chosen.File.OpenReadStream(ActivityImport.LargestBytes);
            await stream.CopyToAsync(bytes);
            content = bytes.ToArray();
            preview = ActivityPreview.Of(ActivityImport.Text(content), name, desk.Plans);
        }
        catch (IOException broken)
        {
            refusal = $"The file could not be read to its end ({broken.Message}); choose it again.";
        }
        finally
        {
            busy = false;
        }
    }

    private async Task TakeAsync()
    {
        busy = true;
        try
        {
            await import.TakeAsync(content, name, "upload", await actor.GetAsync(Roles.Operator));
            Forget();
            done = $"{name} is taken in. What it touches is assessed again.";
        }
        catch (InvalidOperationException stated)
        {
            refusal = stated.Message;
        }
        finally
        {
            busy = false;
        }
        await OnDone.InvokeAsync();
    }

    private void Forget() => (preview, refusal, done, content) = (null, null, null, []);

    private static string Counts(ActivityPreview found) => found.Lines.Count == 0 ? "it holds no activity within the mission's span."
        : string.Join(", ", Enum.GetValues<PreviewKind>().Select(k => (Kind: k, Count: found.Lines.Count(l => l.Kind == k))).Where(c => c.Count > 0).Select(c => $"{NumberText.Whole(c.Count)} {WordOf(c.Kind)}")) + (found.ChangesSomething ? "." : ": there is nothing to take.");

    private static string WordOf(PreviewKind kind) => kind switch
    {
        PreviewKind.New => "new",
        PreviewKind.Changed => "changed",
        PreviewKind.Cancelled => "cancelled",
        PreviewKind.Unchanged => "unchanged",
        _ => "older, not taken",
    };
}
