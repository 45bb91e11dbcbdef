using Microsoft.AspNetCore.Components;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Web.Shared.Addresses;

namespace Phasekeeper.Web.Shared.Live;

/// <summary>
/// A page that follows the change feed while a browser shows it. Content is loaded off the circuit's thread, so that a slow read never freezes the page; what
/// is on screen stays until the new content is there, so that nothing flickers. Only the first load is done at once: so the page that the server renders
/// before the circuit and the first one of the circuit show the same.
/// </summary>
public abstract class LivePage : ComponentBase, IAsyncDisposable
{
    // Chosen: what one person does others see within 2 s, Settle and drawing included; slow enough for a backfill that changes something many times a second.
    private static readonly TimeSpan Interval = TimeSpan.FromSeconds(1);
    // Those who keep computed things for plots hear of the same change; they are given time to drop them.
    private static readonly TimeSpan Settle = TimeSpan.FromMilliseconds(300);
    private readonly CancellationTokenSource stop = new();
    private Task following = Task.CompletedTask;
    private long? firstLook;

    /// <summary>The mission's engine.</summary>
    [Inject]
    protected PipelineEngine Engine { get; set; } = default!;

    [Inject]
    private ChangeFeed Changes { get; set; } = default!;

    [Inject]
    private TimeProvider Clock { get; set; } = default!;

    /// <summary>Where the page is.</summary>
    [Inject]
    protected NavigationManager Navigation { get; set; } = default!;

    /// <summary>The mission; null while it is being loaded.</summary>
    protected MissionState? Mission => Engine.Mission;

    /// <summary>What could not be loaded, and why; null when all is well.</summary>
    protected string? Failure { get; private set; }

    /// <summary>What the address says wrongly, and what is shown instead.</summary>
    protected IReadOnlyList<string> AddressNotes { get; private set; } = [];

    /// <summary>True after the first load.</summary>
    protected bool IsLoaded { get; private set; }

    /// <summary>Counts up when the data behind the plots have changed.</summary>
    protected long Revision { get; private set; }

    /// <summary>Takes over what the address asks for (the page's own thread), and gives what reads what the page shows (any thread), which gives an action that puts it in place on the page's own thread.</summary>
    /// <param name="address">Reads the address, and notes what it says wrongly.</param>
    protected abstract Func<Action> Loader(AddressReader address);

    /// <summary>True when a change matters to this page.</summary>
    protected virtual bool Concerns(Change change) => true;

    /// <inheritdoc/>
    protected override Task OnParametersSetAsync() => LoadAsync();

    /// <summary>Loads again, as after a failure.</summary>
    protected async Task LoadAsync()
    {
        if (Mission is null) return;
        // What changes while the page is read and drawn for the first time, before it follows, must not be lost: nothing else may come after it.
        firstLook ??= Changes.Published;
        var address = new AddressReader();
        try
        {
            var load = Loader(address);
            var apply = IsLoaded ? await Task.Run(load, stop.Token) : load();
            apply();
            AddressNotes = address.Notes;
            Failure = null;
            IsLoaded = true;
        }
        catch (Exception e) when (e is not OperationCanceledException)
        {
            Failure = e.Message;
        }
        catch (OperationCanceledException) when (stop.IsCancellationRequested)
        {
            // The page was left while it loaded: nobody waits for the result.
        }
    }

    /// <inheritdoc/>
    protected override void OnAfterRender(bool firstRender)
    {
        if (firstRender) following = FollowAsync();
    }

    /// <summary>Goes to the same page with some query parameters changed (null removes one).</summary>
    protected void SetQuery(bool replace, params (string Name, object? Value)[] changes) =>
        Navigation.NavigateTo(Navigation.GetUriWithQueryParameters(changes.ToDictionary(c => c.Name, c => c.Value)), replace: replace);

    private async Task FollowAsync()
    {
        try
        {
            if (Mission is null)
            {
                await Engine.Ready.WaitAsync(stop.Token);
                await RefreshAsync();
            }
            await foreach (var set in Changes.SubscribeAsync(Interval, firstLook, stop.Token))
            {
                // Notes stand on the plots of every page.
                if (!set.Any(change => change.Kind is ChangeKind.Annotation or ChangeKind.Missed || Concerns(change))) continue;
                await Task.Delay(Settle, Clock, stop.Token);
                await RefreshAsync();
            }
        }
        catch (OperationCanceledException) when (stop.IsCancellationRequested)
        {
            // The page was left.
        }
        catch (Exception e)
        {
            await DispatchExceptionAsync(e);
        }
    }

    private Task RefreshAsync() => InvokeAsync(async () =>
    {
        await LoadAsync();
        Revision++;
        StateHasChanged();
    });

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        await stop.CancelAsync();
        await following;
        stop.Dispose();
        GC.SuppressFinalize(this);
    }
}
