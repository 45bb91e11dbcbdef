using System.Globalization;
using Microsoft.AspNetCore.Components;
using Microsoft.JSInterop;
using Phasekeeper.Core.Time;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.Today;

/// <summary>News since this browser last looked. What was seen is remembered in the browser; new entries are marked, older ones follow.</summary>
public sealed partial class WhatChanged(IJSRuntime js, TimeProvider clock) : IAsyncDisposable
{
    private const string Module = "./Features/Today/WhatChanged.razor.js";
    private const int LargestList = 12;

    private IJSObjectReference? module;
    private Seen? lastSeen;
    private List<EventRow> fresh = [];

    /// <summary>Events, newest first.</summary>
    [Parameter, EditorRequired]
    public IReadOnlyList<EventRow> Events { get; set; } = [];

    /// <summary>Id of the newest event seen, and when it was looked at (wall clock).</summary>
    private sealed record Seen(long Id, Instant? When);

    private IEnumerable<EventRow> Shown => Events.Take(Math.Max(LargestList, Math.Min(fresh.Count, 30)));

    /// <inheritdoc/>
    protected override void OnParametersSet() => fresh = lastSeen is { } seen ? [.. Events.Where(e => e.Id > seen.Id)] : [];

    /// <inheritdoc/>
    protected override async Task OnAfterRenderAsync(bool firstRender)
    {
        if (!firstRender) return;
        try
        {
            module = await js.InvokeAsync<IJSObjectReference>("import", Module);
            lastSeen = Parse(await module.InvokeAsync<string?>("read"));
            // A first visit has seen nothing before: everything on the page counts as seen from now on.
            if (lastSeen is null) await MarkSeen();
        }
        catch (Exception left) when (left is ObjectDisposedException or JSDisconnectedException)
        {
            // Who goes on to another page at once has not looked: the next page must not fail for it.
            return;
        }
        OnParametersSet();
        StateHasChanged();
    }

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        if (module is null) return;
        try
        {
            await module.DisposeAsync();
        }
        catch (JSDisconnectedException)
        {
            // The browser is gone: nothing is left to free.
        }
    }

    private async Task MarkSeen()
    {
        if (module is null) return;
        var seen = new Seen(Events.Count > 0 ? Events[0].Id : 0, Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime));
        await module.InvokeVoidAsync("write", seen.Id.ToString(CultureInfo.InvariantCulture) + " " + seen.When);
        lastSeen = seen;
        OnParametersSet();
    }

    private bool IsFresh(EventRow change) => lastSeen is { } seen && change.Id > seen.Id;

    private static Seen? Parse(string? text)
    {
        var parts = text?.Split(' ');
        return parts is [var id, var when] && long.TryParse(id, NumberStyles.None, CultureInfo.InvariantCulture, out var number)
            ? new Seen(number, Instant.TryParseUtc(when, out var time) ? time : null) : null;
    }
}
