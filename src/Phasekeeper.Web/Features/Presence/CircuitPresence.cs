using Microsoft.AspNetCore.Components.Server.Circuits;

namespace Phasekeeper.Web.Features.Presence;

/// <summary>
/// This circuit's own presence. A circuit whose line is cut is kept for a while in case that it comes back, but nobody looks at it then: it leaves at once and comes back with the line.
/// </summary>
public sealed class CircuitPresence(PagePresence presence) : CircuitHandler
{
    private (string Name, string Path)? at;
    private bool isCut;

    /// <summary>The circuit's page; null = none is shown.</summary>
    public void Show(string name, string? path)
    {
        at = path is null ? null : (name, path);
        Tell();
    }

    /// <inheritdoc/>
    public override Task OnConnectionDownAsync(Circuit circuit, CancellationToken cancellationToken)
    {
        isCut = true;
        Tell();
        return Task.CompletedTask;
    }

    /// <inheritdoc/>
    public override Task OnConnectionUpAsync(Circuit circuit, CancellationToken cancellationToken)
    {
        isCut = false;
        Tell();
        return Task.CompletedTask;
    }

    /// <inheritdoc/>
    public override Task OnCircuitClosedAsync(Circuit circuit, CancellationToken cancellationToken)
    {
        at = null;
        Tell();
        return Task.CompletedTask;
    }

    private void Tell()
    {
        if (at is { } place && !isCut) presence.Enter(this, place.Name, place.Path);
        else presence.Leave(this);
    }
}
