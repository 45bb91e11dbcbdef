using System.Security.Claims;
using Microsoft.AspNetCore.Components.Authorization;
using Microsoft.AspNetCore.Identity;
using Microsoft.Extensions.Options;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api.Access;

namespace Phasekeeper.Web.Features.People;

/// <summary>
/// Reads the actor from the request, or in a circuit from its authentication state, which revalidation keeps true. A circuit has no request of its own: the address is the one
/// from which it was opened, kept by <see cref="CircuitOrigin"/>. Sessions are looked at again only now and then; whoever changes something is looked at here and now.
/// </summary>
public sealed class CurrentActor(IHttpContextAccessor http, AuthenticationStateProvider circuit, CircuitOrigin origin, Stores stores, IOptions<IdentityOptions> identity) : ICurrentActor
{
    /// <inheritdoc/>
    public async Task<Actor> GetAsync()
    {
        var (user, address) = await WhoAsync().ConfigureAwait(false);
        RequireStill(user);
        return Of(user, address);
    }

    /// <inheritdoc/>
    public async Task<Actor> GetAsync(string needed)
    {
        var (user, address) = await WhoAsync().ConfigureAwait(false);
        RequireStill(user);
        var actor = Of(user, address);
        if (!Policies.Holds(user, needed)) throw new AccessDeniedException(actor, needed);
        // Someone who is calibration lead and administrator looks after people as an administrator.
        return Roles.Covers(actor.Role, needed) ? actor : actor with { Role = needed };
    }

    /// <summary>The actor of a principal.</summary>
    public static Actor Of(ClaimsPrincipal user, string? address)
    {
        var name = user.Identity is { IsAuthenticated: true, Name: { Length: > 0 } known } ? known
            : throw new InvalidOperationException("A change was asked for by nobody: the endpoint or page must require a signed-in person.");
        var roles = user.FindAll(ClaimTypes.Role).Select(claim => claim.Value).ToArray();
        // A token for intake has no role of its own: bringing data is an operator's work.
        return new Actor(name, roles.Length == 0 && user.HasClaim(PersonClaims.Scope, TokenScopes.Intake) ? Roles.Operator : Roles.Leading(roles), address);
    }

    // A token is looked up with every request; behind the demo stands nobody.
    private void RequireStill(ClaimsPrincipal user)
    {
        if (user.Identity?.AuthenticationType != IdentityConstants.ApplicationScheme) return;
        var claims = identity.Value.ClaimsIdentity;
        if (user.FindFirst(claims.UserIdClaimType)?.Value is not { } id || stores.People.Get(id) is not { IsLockedByAdministrator: false } person || person.SecurityStamp != user.FindFirst(claims.SecurityStampClaimType)?.Value)
            throw new AccessDeniedException("Your password, roles or lock were changed since you signed in, so nothing was done. Sign in again.");
    }

    private async Task<(ClaimsPrincipal User, string? Address)> WhoAsync()
    {
        // A circuit's hub connection also shows a request here, with the person as of its start: the circuit's own state comes first.
        if (origin.IsCircuit) return ((await circuit.GetAuthenticationStateAsync().ConfigureAwait(false)).User, origin.Address);
        var request = http.HttpContext ?? throw new InvalidOperationException("There is neither a request nor a circuit here; the program itself acts as Actor.System.");
        return (request.User, request.Connection.RemoteIpAddress?.ToString());
    }
}
