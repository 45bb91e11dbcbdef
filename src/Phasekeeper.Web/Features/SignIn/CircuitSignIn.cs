using Microsoft.AspNetCore.Components.Authorization;
using Microsoft.AspNetCore.Components.Server;
using Microsoft.AspNetCore.Identity;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api.Access;

namespace Phasekeeper.Web.Features.SignIn;

/// <summary>
/// Who works in a circuit, looked at again as long as it is open: a changed password, changed roles or a lock end it. A circuit that was opened with a bearer token ends at the first look.
/// </summary>
public sealed class CircuitSignIn(ILoggerFactory logging, IServiceScopeFactory scopes, SignInTimes times) : RevalidatingServerAuthenticationStateProvider(logging)
{
    /// <inheritdoc/>
    protected override TimeSpan RevalidationInterval => times.Revalidation;

    /// <inheritdoc/>
    protected override async Task<bool> ValidateAuthenticationStateAsync(AuthenticationState authenticationState, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(authenticationState);
        var user = authenticationState.User;
        // Nobody's password stands behind the demo, so nothing can be taken back.
        if (DemoAccess.Is(user)) return true;
        // The look must not use what the circuit's own scope has read before.
        await using var scope = scopes.CreateAsyncScope();
        return await scope.ServiceProvider.GetRequiredService<SignInManager<Person>>().ValidateSecurityStampAsync(user).ConfigureAwait(false) is not null;
    }
}
