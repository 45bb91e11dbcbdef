using System.Security.Claims;

namespace Phasekeeper.Web.Api.Access;

/// <summary>Names under which changes are recorded, and the roles that go with them.</summary>
public static class Actor
{
    /// <summary>The holder of the bootstrap token.</summary>
    public const string Bootstrap = "bootstrap";

    /// <summary>Someone at this machine without a token.</summary>
    public const string Local = "local";

    /// <summary>Role that may do everything.</summary>
    public const string AdministratorRole = "administrator";

    /// <summary>Role that may read, and do an operator's work.</summary>
    public const string OperatorRole = "operator";

    /// <summary>Name to record beside a change.</summary>
    public static string NameOf(ClaimsPrincipal user) => user.Identity?.Name
        ?? throw new InvalidOperationException("A change was asked for by nobody: the endpoint must require an authenticated user.");

    internal static ClaimsPrincipal Principal(string name, string role, string scheme) =>
        new(new ClaimsIdentity([new(ClaimTypes.Name, name), new(ClaimTypes.Role, role)], scheme, ClaimTypes.Name, ClaimTypes.Role));
}
