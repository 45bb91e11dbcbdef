using Phasekeeper.Storage;

namespace Phasekeeper.Web.Api.Access;

/// <summary>
/// What a token may: the word intake (bring data and see how far they are processed, nothing else), or a role. It never may more than its owner may when it is used.
/// </summary>
public static class TokenScopes
{
    /// <summary>Bring data and see how far they are processed.</summary>
    public const string Intake = "intake";

    /// <summary>Scopes that a person with these roles can give. People and settings are not for scripts.</summary>
    public static IReadOnlyList<string> Offered(IReadOnlyCollection<string> roles) =>
        [.. Roles.Cover(roles, Roles.Operator) ? [Intake] : Array.Empty<string>(), .. new[] { Roles.Viewer, Roles.Operator, Roles.Analyst, Roles.CalibrationLead }.Where(role => Roles.Cover(roles, role))];

    /// <summary>What is left of a token's scopes with the roles that its owner has now.</summary>
    public static IReadOnlyList<string> Effective(string scopes, IReadOnlyCollection<string> roles) => [.. scopes.Split(' ').Intersect(Offered(roles))];
}
