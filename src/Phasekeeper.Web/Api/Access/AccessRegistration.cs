using Microsoft.AspNetCore.Authentication;
using Microsoft.AspNetCore.Authorization;

namespace Phasekeeper.Web.Api.Access;

/// <summary>Who may ask: registrations of authentication and authorisation.</summary>
public static class AccessRegistration
{
    /// <summary>
    /// Every endpoint asks for a known actor unless it says otherwise: the holder of the bootstrap token, or whoever works on
    /// this machine.
    /// </summary>
    public static IServiceCollection AddPhasekeeperAccess(this IServiceCollection services)
    {
        services.AddAuthentication(LocalAccessHandler.Scheme)
            .AddScheme<AuthenticationSchemeOptions, LocalAccessHandler>(LocalAccessHandler.Scheme, null);
        services.AddAuthorizationBuilder()
            .SetFallbackPolicy(new AuthorizationPolicyBuilder().RequireAuthenticatedUser().Build());
        return services;
    }
}
