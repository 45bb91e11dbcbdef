using System.Security.Claims;
using Microsoft.AspNetCore.Components.Authorization;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.People;

/// <summary>
/// Reads the actor from the request, or in a circuit from its authentication state, which revalidation keeps true. A circuit has no request of its own: the address is the one
/// from which it was opened, kept by <see cref="CircuitOrigin"/>.
/// </summary>
public sealed class CurrentActor(IHttpContextAccessor http, AuthenticationStateProvider circuit, CircuitOrigin origin) : ICurrentActor
{
    /// <inheritdoc/>
    public async Task<Actor> GetAsync()
    {
        // A circuit's hub connection also shows a request here, with the person as of its start: the circuit's own state comes first.
        if (origin.IsCircuit) return Of((await circuit.GetAuthenticationStateAsync().ConfigureAwait(false)).User, origin.Address);
        var request = http.HttpContext ?? throw new InvalidOperationException("There is neither a request nor a circuit here; the program itself acts as Actor.System.");
        return Of(request.User, request.Connection.RemoteIpAddress?.ToString());
    }

    /// <summary>The actor of a principal.</summary>
    public static Actor Of(ClaimsPrincipal user, string? address)
    {
        var name = user.Identity is { IsAuthenticated: true, Name: { Length: > 0 } known } ? known
            : throw new InvalidOperationException("A change was asked for by nobody: the endpoint or page must require a signed-in person.");
        return new Actor(name, Roles.Leading([.. user.FindAll(ClaimTypes.Role).Select(claim => claim.Value)]), address);
    }
}
