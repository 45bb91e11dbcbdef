using Microsoft.AspNetCore.Components.Server.Circuits;

namespace Phasekeeper.Web.Features.People;

/// <summary>From where a circuit was opened; empty in a scope that is no circuit's.</summary>
public sealed class CircuitOrigin(IHttpContextAccessor http) : CircuitHandler
{
    /// <summary>True in the scope of a circuit.</summary>
    public bool IsCircuit { get; private set; }

    /// <summary>Remote address of the connection that opened the circuit.</summary>
    public string? Address { get; private set; }

    /// <inheritdoc/>
    public override Task OnCircuitOpenedAsync(Circuit circuit, CancellationToken cancellationToken)
    {
        (IsCircuit, Address) = (true, http.HttpContext?.Connection.RemoteIpAddress?.ToString());
        return Task.CompletedTask;
    }
}
