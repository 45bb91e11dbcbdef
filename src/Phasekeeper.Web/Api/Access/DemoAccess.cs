using System.Security.Claims;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Api.Access;

/// <summary>
/// Sign-in without a password for the demo mission, on the machine itself only. It is offered when no profile is named; no setting can switch it on beside a mission of one's own.
/// </summary>
/// <param name="IsOffered">Whether it is offered at all.</param>
/// <param name="DefaultRole">Role before one is chosen.</param>
public sealed record DemoAccess(bool IsOffered, string DefaultRole = Roles.Analyst)
{
    /// <summary>Authentication type of its principals.</summary>
    public const string Scheme = "Demo";

    /// <summary>Cookie with the chosen role. It is no secret: whoever is at the machine may choose any.</summary>
    public const string RoleCookie = "pk-demo-role";

    /// <summary>Whether a principal came in by it.</summary>
    public static bool Is(ClaimsPrincipal user) => user.Identity?.AuthenticationType == Scheme;

    /// <summary>The principal of a request that <see cref="LoopbackRequest"/> has let through. Every role has a name of its own, so that one who proposes and one who decides are told apart.</summary>
    public ClaimsPrincipal Principal(HttpRequest request)
    {
        ArgumentNullException.ThrowIfNull(request);
        var role = request.Cookies[RoleCookie] is { } chosen && Roles.All.Contains(chosen) ? chosen : DefaultRole;
        return PersonClaims.Principal(NameOf(role), [role], Scheme);
    }

    /// <summary>Name under which a role's decisions stand.</summary>
    public static string NameOf(string role) => "demo " + role;
}
