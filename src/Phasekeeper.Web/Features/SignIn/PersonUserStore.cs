using Microsoft.AspNetCore.Identity;
using Phasekeeper.Core.Time;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.SignIn;

/// <summary>People for ASP.NET Core Identity's managers, kept by <see cref="PeopleStore"/>. Decisions about people (roles, locks, passwords set for others) go through the page's own service, not through here.</summary>
public sealed class PersonUserStore(Stores stores, IdentityErrorDescriber errors)
    : IUserPasswordStore<Person>, IUserSecurityStampStore<Person>, IUserLockoutStore<Person>, IUserRoleStore<Person>, IUserLoginStore<Person>
{
    /// <inheritdoc/>
    public async Task<IdentityResult> CreateAsync(Person user, CancellationToken cancellationToken) =>
        await stores.Database.WriteAsync(t => PeopleStore.Add(t, user), cancellationToken).ConfigureAwait(false) ? IdentityResult.Success : IdentityResult.Failed(errors.DuplicateUserName(user.Name));

    /// <inheritdoc/>
    public async Task<IdentityResult> UpdateAsync(Person user, CancellationToken cancellationToken) =>
        await stores.Database.WriteAsync(t => PeopleStore.Save(t, user), cancellationToken).ConfigureAwait(false) ? IdentityResult.Success : IdentityResult.Failed(errors.ConcurrencyFailure());

    /// <summary>Never: a person's name stands beside decisions.</summary>
    public Task<IdentityResult> DeleteAsync(Person user, CancellationToken cancellationToken) =>
        throw new NotSupportedException("People are not deleted, since their names stand beside decisions; lock them instead.");

    /// <inheritdoc/>
    public Task<Person?> FindByIdAsync(string userId, CancellationToken cancellationToken) => Task.FromResult(stores.People.Get(userId));

    /// <inheritdoc/>
    public Task<Person?> FindByNameAsync(string normalizedUserName, CancellationToken cancellationToken) => Task.FromResult(stores.People.ByName(normalizedUserName));

    /// <inheritdoc/>
    public Task<string> GetUserIdAsync(Person user, CancellationToken cancellationToken) => Task.FromResult(user.Id);

    /// <inheritdoc/>
    public Task<string?> GetUserNameAsync(Person user, CancellationToken cancellationToken) => Task.FromResult<string?>(user.Name);

    /// <inheritdoc/>
    public Task SetUserNameAsync(Person user, string? userName, CancellationToken cancellationToken) => Set(() => user.Name = userName ?? "");

    /// <inheritdoc/>
    public Task<string?> GetNormalizedUserNameAsync(Person user, CancellationToken cancellationToken) => Task.FromResult<string?>(user.NormalizedName);

    /// <inheritdoc/>
    public Task SetNormalizedUserNameAsync(Person user, string? normalizedName, CancellationToken cancellationToken) => Set(() => user.NormalizedName = normalizedName ?? "");

    /// <inheritdoc/>
    public Task<string?> GetPasswordHashAsync(Person user, CancellationToken cancellationToken) => Task.FromResult(user.PasswordHash);

    /// <inheritdoc/>
    public Task<bool> HasPasswordAsync(Person user, CancellationToken cancellationToken) => Task.FromResult(user.PasswordHash is not null);

    /// <inheritdoc/>
    public Task SetPasswordHashAsync(Person user, string? passwordHash, CancellationToken cancellationToken) => Set(() => user.PasswordHash = passwordHash);

    /// <inheritdoc/>
    public Task<string?> GetSecurityStampAsync(Person user, CancellationToken cancellationToken) => Task.FromResult<string?>(user.SecurityStamp);

    /// <inheritdoc/>
    public Task SetSecurityStampAsync(Person user, string stamp, CancellationToken cancellationToken) => Set(() => user.SecurityStamp = stamp);

    /// <inheritdoc/>
    public Task<DateTimeOffset?> GetLockoutEndDateAsync(Person user, CancellationToken cancellationToken) => Task.FromResult<DateTimeOffset?>(
        user.LockedUntil is not { } until ? null : until == Person.Forever ? DateTimeOffset.MaxValue : new DateTimeOffset(until.ToDateTimeUtc()));

    /// <inheritdoc/>
    public Task SetLockoutEndDateAsync(Person user, DateTimeOffset? lockoutEnd, CancellationToken cancellationToken) =>
        Set(() => user.LockedUntil = lockoutEnd is not { } end ? null : end == DateTimeOffset.MaxValue ? Person.Forever : Instant.FromDateTimeUtc(end.UtcDateTime));

    /// <inheritdoc/>
    public Task<int> IncrementAccessFailedCountAsync(Person user, CancellationToken cancellationToken) => Task.FromResult(++user.FailedSignIns);

    /// <inheritdoc/>
    public Task ResetAccessFailedCountAsync(Person user, CancellationToken cancellationToken) => Set(() => user.FailedSignIns = 0);

    /// <inheritdoc/>
    public Task<int> GetAccessFailedCountAsync(Person user, CancellationToken cancellationToken) => Task.FromResult(user.FailedSignIns);

    /// <summary>Everybody can be locked.</summary>
    public Task<bool> GetLockoutEnabledAsync(Person user, CancellationToken cancellationToken) => Task.FromResult(true);

    /// <summary>Everybody can be locked: the manager's wish at creation changes nothing.</summary>
    public Task SetLockoutEnabledAsync(Person user, bool enabled, CancellationToken cancellationToken) => Task.CompletedTask;

    /// <inheritdoc/>
    public Task AddToRoleAsync(Person user, string roleName, CancellationToken cancellationToken) => Set(() => user.Roles.Add(RoleOf(roleName)));

    /// <inheritdoc/>
    public Task RemoveFromRoleAsync(Person user, string roleName, CancellationToken cancellationToken) => Set(() => user.Roles.Remove(RoleOf(roleName)));

    /// <inheritdoc/>
    public Task<IList<string>> GetRolesAsync(Person user, CancellationToken cancellationToken) => Task.FromResult<IList<string>>([.. user.Roles]);

    /// <inheritdoc/>
    public Task<bool> IsInRoleAsync(Person user, string roleName, CancellationToken cancellationToken) => Task.FromResult(user.Roles.Contains(RoleOf(roleName)));

    /// <inheritdoc/>
    public Task<IList<Person>> GetUsersInRoleAsync(string roleName, CancellationToken cancellationToken) => Task.FromResult<IList<Person>>([.. stores.People.All().Where(p => p.Roles.Contains(RoleOf(roleName)))]);

    /// <inheritdoc/>
    public Task AddLoginAsync(Person user, UserLoginInfo login, CancellationToken cancellationToken) => stores.Database.WriteAsync(
        t => PeopleStore.AddLogin(t, user.Id, new PersonLogin(login.LoginProvider, login.ProviderKey, login.ProviderDisplayName ?? login.LoginProvider)), cancellationToken);

    /// <inheritdoc/>
    public Task RemoveLoginAsync(Person user, string loginProvider, string providerKey, CancellationToken cancellationToken) =>
        stores.Database.WriteAsync(t => PeopleStore.RemoveLogin(t, user.Id, loginProvider, providerKey), cancellationToken);

    /// <inheritdoc/>
    public Task<IList<UserLoginInfo>> GetLoginsAsync(Person user, CancellationToken cancellationToken) =>
        Task.FromResult<IList<UserLoginInfo>>([.. stores.People.Logins(user.Id).Select(login => new UserLoginInfo(login.Provider, login.ProviderKey, login.Title))]);

    /// <inheritdoc/>
    public Task<Person?> FindByLoginAsync(string loginProvider, string providerKey, CancellationToken cancellationToken) => Task.FromResult(stores.People.ByLogin(loginProvider, providerKey));

    /// <inheritdoc/>
    public void Dispose()
    {
        // The stores are the program's, not this scope's.
    }

    // The manager asks with names in capitals.
    private static string RoleOf(string name) => Roles.All.FirstOrDefault(role => role.Equals(name, StringComparison.OrdinalIgnoreCase))
        ?? throw new ArgumentException($"Found the role '{name}'; expected one of {string.Join(", ", Roles.All)}.", nameof(name));

    private static Task Set(Action set)
    {
        set();
        return Task.CompletedTask;
    }
}
