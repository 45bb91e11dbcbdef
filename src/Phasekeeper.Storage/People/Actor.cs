namespace Phasekeeper.Storage;

/// <summary>Who decides or changes something, as it is recorded beside the decision.</summary>
/// <param name="Name">Name of the person, or of the program's part; <c>system</c> for the program itself.</param>
/// <param name="Role">One of <see cref="Roles"/>: the role in which it was done.</param>
/// <param name="Address">Remote address of the request; null for the program itself.</param>
public sealed record Actor(string Name, string Role, string? Address)
{
    /// <summary>Name under which the bootstrap token acts. It sets the first accounts up; no person is named so, so nobody can be held to what it did.</summary>
    public const string Bootstrap = "bootstrap";

    /// <summary>The program itself.</summary>
    public static readonly Actor System = new("system", Roles.System, null);
}
