namespace Phasekeeper.Storage;

/// <summary>A person as the record shows it: no hash of a password, no stamp.</summary>
/// <param name="Roles">Roles, weakest first.</param>
/// <param name="Locked">Locked by an administrator.</param>
/// <param name="MustChangePassword">The password must be changed at the next sign-in.</param>
public sealed record PersonState(IReadOnlyList<string> Roles, bool Locked, bool MustChangePassword)
{
    /// <summary>The state of a person.</summary>
    public static PersonState Of(Person person)
    {
        ArgumentNullException.ThrowIfNull(person);
        return new([.. Storage.Roles.All.Where(person.Roles.Contains)], person.IsLockedByAdministrator, person.MustChangePassword);
    }
}

/// <summary>A token as the record shows it.</summary>
/// <param name="Id">Id; no secret.</param>
/// <param name="Name">What it is for.</param>
/// <param name="Scopes">What it may.</param>
/// <param name="Expires">UTC.</param>
public sealed record TokenState(string Id, string Name, string Scopes, string Expires)
{
    /// <summary>The state of a token.</summary>
    public static TokenState Of(TokenRow token)
    {
        ArgumentNullException.ThrowIfNull(token);
        return new(token.Id, token.Name, token.Scopes, token.Expires.ToString());
    }
}
