using System.Security.Claims;

namespace Phasekeeper.Web.Api.Access;

/// <summary>Names and roles of the bootstrap token and of this machine.</summary>
public static class LocalActors
{
    /// <summary>The holder of the bootstrap token.</summary>
    public const string Bootstrap = "bootstrap";

    /// <summary>Someone at this machine without a token.</summary>
    public const string Local = "local";

    internal static ClaimsPrincipal Principal(string name, string role, string scheme) =>
        new(new ClaimsIdentity([new(ClaimTypes.Name, name), new(ClaimTypes.Role, role)], scheme, ClaimTypes.Name, ClaimTypes.Role));
}
