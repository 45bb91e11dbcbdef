using System.Data;
using Microsoft.AspNetCore.Identity;
using Phasekeeper.Core.Time;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.SignIn;

namespace Phasekeeper.Web.Features.People;

/// <summary>
/// Decisions about people, each one transaction. All of them ask for an administrator here, whatever page or call they come by, and change the security stamp where a session must end.
/// </summary>
public sealed class PeopleService(Stores stores, UserManager<Person> people, ICurrentActor current, TimeProvider clock)
{
    /// <summary>Adds a person; gives the password, which is shown once and must be changed at the first sign-in.</summary>
    public async Task<string> AddAsync(string name, IReadOnlyCollection<string> roles)
    {
        var actor = await current.GetAsync(Roles.Administrator).ConfigureAwait(false);
        var person = new Person { Name = PersonNames.Checked(name), Created = Now(), MustChangePassword = true, SecurityStamp = NewStamp() };
        person.NormalizedName = people.NormalizeName(person.Name)!;
        person.Roles.UnionWith(CheckedRoles(roles));
        var password = FirstAdministrator.RandomPassword();
        person.PasswordHash = people.PasswordHasher.HashPassword(person, password);
        await stores.Database.WriteAsync(t =>
        {
            if (!PeopleStore.Add(t, person)) throw PeopleTexts.NameTaken(person.Name);
            RecordStore.Append(t, actor, PeopleRecordKinds.Add, person.Name, null, PersonState.Of(person), null, person.Created);
        }).ConfigureAwait(false);
        return password;
    }

    /// <summary>Gives a person exactly these roles.</summary>
    public Task SetRolesAsync(string id, IReadOnlyCollection<string> roles) => ChangeAsync(id, PeopleRecordKinds.Roles, (t, actor, person) =>
    {
        if (IsSelf(actor, person)) throw PeopleTexts.OwnRights();
        var given = CheckedRoles(roles);
        if (person.Roles.Contains(Roles.Administrator) && !given.Contains(Roles.Administrator)) RequireAnother(t, person);
        person.Roles.Clear();
        person.Roles.UnionWith(given);
    });

    /// <summary>Locks a person out until an administrator unlocks them; their sessions and tokens end.</summary>
    public Task LockAsync(string id) => ChangeAsync(id, PeopleRecordKinds.Lock, (t, actor, person) =>
    {
        if (IsSelf(actor, person)) throw PeopleTexts.OwnRights();
        if (person.Roles.Contains(Roles.Administrator)) RequireAnother(t, person);
        person.LockedUntil = Person.Forever;
    });

    /// <summary>Lets a person in again, also one who has mistyped too often.</summary>
    public Task UnlockAsync(string id) => ChangeAsync(id, PeopleRecordKinds.Unlock, (_, _, person) => (person.LockedUntil, person.FailedSignIns) = (null, 0));

    /// <summary>Sets a new password, which is given back to be shown once and must be changed at the next sign-in. A lock stays.</summary>
    public async Task<string> ResetPasswordAsync(string id)
    {
        var password = FirstAdministrator.RandomPassword();
        await ChangeAsync(id, PeopleRecordKinds.Reset, (_, _, person) =>
        {
            // A password would be a second way in, past the provider's word.
            if (person.PasswordHash is null) throw PeopleTexts.SignsInElsewhere(person.Name);
            (person.PasswordHash, person.MustChangePassword) = (people.PasswordHasher.HashPassword(person, password), true);
        }).ConfigureAwait(false);
        return password;
    }

    private async Task ChangeAsync(string id, string what, Action<IDbTransaction, Actor, Person> change)
    {
        var actor = await current.GetAsync(Roles.Administrator).ConfigureAwait(false);
        await stores.Database.WriteAsync(t =>
        {
            var person = PeopleStore.Get(t, id) ?? throw PeopleTexts.Unknown(id);
            var before = PersonState.Of(person);
            change(t, actor, person);
            person.SecurityStamp = NewStamp();
            if (!PeopleStore.Save(t, person)) throw PeopleTexts.ChangedMeanwhile(person.Name);
            RecordStore.Append(t, actor, what, person.Name, before, PersonState.Of(person), null, Now());
        }).ConfigureAwait(false);
    }

    private static void RequireAnother(IDbTransaction transaction, Person person)
    {
        if (PeopleStore.OtherAdministrators(transaction, person.Id) == 0) throw PeopleTexts.LastAdministrator(person.Name);
    }

    private bool IsSelf(Actor actor, Person person) => people.NormalizeName(actor.Name) == person.NormalizedName;

    private static IReadOnlyCollection<string> CheckedRoles(IReadOnlyCollection<string> roles) =>
        roles.Count > 0 && roles.All(role => Roles.All.Contains(role)) ? roles : throw PeopleTexts.BadRoles(roles);

    private Instant Now() => Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);

    private static string NewStamp() => Guid.NewGuid().ToString("N");
}
