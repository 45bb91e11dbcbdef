using System.Security.Claims;
using Microsoft.AspNetCore.Authorization;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Api.Access;

/// <summary>
/// What an endpoint or page can ask for: a role (the policies have the roles' names), or one of the policies here. An endpoint that asks for nothing is refused to everybody.
/// </summary>
public static class Policies
{
    /// <summary>Signed in, whatever the role; also with a password that must be changed first.</summary>
    public const string SignedIn = "signed-in";

    /// <summary>Brings data: an operator, or a token for intake.</summary>
    public const string Intake = "intake";

    /// <summary>Sees how far data are processed: a viewer, or a token for intake.</summary>
    public const string IntakeProgress = "intake-progress";

    /// <summary>All names.</summary>
    public static readonly IReadOnlyList<string> All = [.. Roles.All, SignedIn, Intake, IntakeProgress];

    /// <summary>Registers them, and the refusal of everything that names none.</summary>
    public static void Add(AuthorizationBuilder authorization)
    {
        ArgumentNullException.ThrowIfNull(authorization);
        foreach (var role in Roles.All) authorization.AddPolicy(role, policy => policy.RequireAuthenticatedUser().RequireAssertion(c => Holds(c.User, role)));
        authorization.AddPolicy(SignedIn, policy => policy.RequireAuthenticatedUser());
        authorization.AddPolicy(Intake, policy => policy.RequireAuthenticatedUser().RequireAssertion(c => Holds(c.User, Roles.Operator) || MayBringData(c.User)));
        authorization.AddPolicy(IntakeProgress, policy => policy.RequireAuthenticatedUser().RequireAssertion(c => Holds(c.User, Roles.Viewer) || MayBringData(c.User)));
        // An address where nothing is tells a known caller so; an endpoint without a policy is a mistake, and open to nobody.
        authorization.SetFallbackPolicy(new AuthorizationPolicyBuilder().RequireAuthenticatedUser()
            .RequireAssertion(c => c.Resource is HttpContext http && http.GetEndpoint() is null).Build());
        authorization.SetDefaultPolicy(new AuthorizationPolicyBuilder().RequireAssertion(_ => false).Build());
    }

    /// <summary>Whether a principal may do what a role may.</summary>
    public static bool Holds(ClaimsPrincipal user, string role) =>
        !user.HasClaim(c => c.Type == PersonClaims.MustChangePassword) && Roles.Cover(user.FindAll(ClaimTypes.Role).Select(claim => claim.Value), role);

    private static bool MayBringData(ClaimsPrincipal user) => user.HasClaim(PersonClaims.Scope, TokenScopes.Intake);
}

/// <summary>Claims of ours beside name and role.</summary>
public static class PersonClaims
{
    /// <summary>Scope of a token that is no role.</summary>
    public const string Scope = "phasekeeper:scope";

    /// <summary>The password was made by someone else: nothing may be done before it is changed.</summary>
    public const string MustChangePassword = "phasekeeper:must-change-password";

    /// <summary>Id of the token that was sent.</summary>
    public const string Token = "phasekeeper:token";

    /// <summary>A principal with a name and what it may.</summary>
    public static ClaimsPrincipal Principal(string name, IEnumerable<string> roles, string scheme, params IEnumerable<Claim> more) => new(new ClaimsIdentity(
        [new(ClaimTypes.Name, name), .. roles.Select(role => new Claim(ClaimTypes.Role, role)), .. more], scheme, ClaimTypes.Name, ClaimTypes.Role));
}
