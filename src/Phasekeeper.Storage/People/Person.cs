using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>A person who signs in. Mutable: the managers of ASP.NET Core Identity set it piece by piece and then save it.</summary>
public sealed class Person
{
    /// <summary>Lock by an administrator: it ends by no time.</summary>
    public static readonly Instant Forever = Instant.MaxValue;

    /// <summary>Id, 32 hexadecimal digits.</summary>
    public string Id { get; init; } = Guid.NewGuid().ToString("N");
    /// <summary>Name, unique but for case; stands beside decisions.</summary>
    public string Name { get; set; } = "";
    /// <summary>Name as it is searched for.</summary>
    public string NormalizedName { get; set; } = "";
    /// <summary>Salted hash of the password; null for someone who signs in elsewhere.</summary>
    public string? PasswordHash { get; set; }
    /// <summary>Changes with password, roles and lock: sessions that carry another one end.</summary>
    public string SecurityStamp { get; set; } = "";
    /// <summary>Changes with every save: two saves at once do not overwrite each other.</summary>
    public string ConcurrencyStamp { get; set; } = "";
    /// <summary>Wrong passwords since the last right one.</summary>
    public int FailedSignIns { get; set; }
    /// <summary>Nobody signs in under this name before then, wall clock; null = not locked; <see cref="Forever"/> = by an administrator.</summary>
    public Instant? LockedUntil { get; set; }
    /// <summary>The password was made by someone else and must be changed before anything else is done.</summary>
    public bool MustChangePassword { get; set; }
    /// <summary>Wall clock.</summary>
    public Instant Created { get; init; }
    /// <summary>Wall clock of the last sign-in.</summary>
    public Instant? LastSignIn { get; set; }
    /// <summary>Roles given, of <see cref="Storage.Roles.All"/>.</summary>
    public HashSet<string> Roles { get; init; } = new(StringComparer.Ordinal);

    /// <summary>True when an administrator has locked the person.</summary>
    public bool IsLockedByAdministrator => LockedUntil == Forever;

    /// <summary>Whether nobody may sign in under this name at a moment.</summary>
    public bool IsLockedAt(Instant now) => LockedUntil is { } until && until > now;
}

/// <summary>An identity of a person at an OpenID Connect provider.</summary>
/// <param name="Provider">Name of the provider's scheme.</param>
/// <param name="ProviderKey">Subject there.</param>
/// <param name="Title">Name of the provider as shown.</param>
public sealed record PersonLogin(string Provider, string ProviderKey, string Title);
