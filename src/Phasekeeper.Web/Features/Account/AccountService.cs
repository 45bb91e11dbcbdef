using System.Globalization;
using Microsoft.AspNetCore.Identity;
using Phasekeeper.Core.Time;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api.Access;
using Phasekeeper.Web.Features.People;
using Phasekeeper.Web.Features.SignIn;

namespace Phasekeeper.Web.Features.Account;

/// <summary>What people do with their own accounts: password and tokens. Each change is one transaction with its entry in the record.</summary>
public sealed class AccountService(Stores stores, UserManager<Person> people, SignInManager<Person> signIn, AttemptLimits limits, ICurrentActor current, IHttpContextAccessor http, TimeProvider clock)
{
    /// <summary>Longest time to live of a token, days.</summary>
    public const int LongestDays = 366;

    /// <summary>Longest name of a token, characters.</summary>
    public const int LongestTokenName = 100;

    /// <summary>The person signed in by password or provider; null for the demo and for tokens: a token makes no tokens.</summary>
    public Person? Me() => http.HttpContext is { } context && !DemoAccess.Is(context.User) && context.User.Identity?.AuthenticationType == IdentityConstants.ApplicationScheme
        && people.GetUserId(context.User) is { } id ? stores.People.Get(id) : null;

    /// <summary>Changes one's own password; other sessions end, this one goes on.</summary>
    public async Task ChangePasswordAsync(string? present, string? chosen, string? repeated)
    {
        var key = Me() is { PasswordHash: not null } known ? known.NormalizedName : throw PeopleTexts.NoPassword();
        if (limits.PasswordWait(http.HttpContext, key) is { } wait) throw PeopleTexts.TooManyWrong(wait);
        using var turn = await limits.TurnAsync(key).ConfigureAwait(false) ?? throw PeopleTexts.TooManyWrong(limits.NoTurnWait);
        // As it is now that no other attempt looks at it.
        var person = Me()!;
        if (chosen != repeated) throw PeopleTexts.NotRepeated();
        // Wrong guesses here count as wrong guesses at the door do.
        if (!(await signIn.CheckPasswordSignInAsync(person, present ?? "", lockoutOnFailure: true).ConfigureAwait(false)).Succeeded)
        {
            limits.WrongPassword(http.HttpContext, key);
            throw PeopleTexts.WrongPassword();
        }
        foreach (var validator in people.PasswordValidators)
            if (await validator.ValidateAsync(people, person, chosen).ConfigureAwait(false) is { Succeeded: false } refused) throw PeopleTexts.BadPassword(refused.Errors.Select(e => e.Description));
        if (present == chosen) throw PeopleTexts.BadPassword(["The new password is the present one."]);
        var actor = await current.GetAsync().ConfigureAwait(false);
        var before = PersonState.Of(person);
        (person.PasswordHash, person.MustChangePassword, person.SecurityStamp) = (people.PasswordHasher.HashPassword(person, chosen!), false, Guid.NewGuid().ToString("N"));
        await stores.Database.WriteAsync(t =>
        {
            if (!PeopleStore.Save(t, person)) throw PeopleTexts.ChangedMeanwhile(person.Name);
            RecordStore.Append(t, actor, PeopleRecordKinds.Password, person.Name, before, PersonState.Of(person), null, Now());
        }).ConfigureAwait(false);
        await signIn.RefreshSignInAsync(person).ConfigureAwait(false);
    }

    /// <summary>Ends all sessions of the person, on record; nothing where nobody is signed in by password or provider.</summary>
    public async Task SignOutEverywhereAsync()
    {
        if (Me() is not { } person) return;
        var actor = await current.GetAsync().ConfigureAwait(false);
        var state = PersonState.Of(person);
        person.SecurityStamp = Guid.NewGuid().ToString("N");
        await stores.Database.WriteAsync(t =>
        {
            if (!PeopleStore.Save(t, person)) throw PeopleTexts.ChangedMeanwhile(person.Name);
            RecordStore.Append(t, actor, PeopleRecordKinds.SignOutEverywhere, person.Name, state, state, null, Now());
        }).ConfigureAwait(false);
    }

    /// <summary>Makes a token; gives what is shown once.</summary>
    public async Task<string> AddTokenAsync(string? name, string? scope, string? days)
    {
        var person = Me() ?? throw PeopleTexts.NoPassword();
        // Who gave the password out could otherwise leave a token behind that outlives it.
        if (person.MustChangePassword) throw PeopleTexts.PasswordFirst();
        var title = (name ?? "").Trim();
        if (title.Length is 0 or > LongestTokenName || title.Any(char.IsControl)) throw PeopleTexts.BadTokenName(LongestTokenName);
        var offered = TokenScopes.Offered(person.Roles);
        if (scope is null || !offered.Contains(scope)) throw PeopleTexts.BadScope(scope ?? "", offered);
        if (!int.TryParse(days, NumberStyles.None, CultureInfo.InvariantCulture, out var count) || count is < 1 or > LongestDays) throw PeopleTexts.BadDays(days ?? "", LongestDays);
        var actor = await current.GetAsync().ConfigureAwait(false);
        var (token, hash) = BearerTokens.New();
        var now = Now();
        var row = new TokenRow { Id = Guid.NewGuid().ToString("N"), Person = person.Id, Name = title, Hash = hash, Scopes = scope, Created = now, Expires = now.AddSeconds(count * 86400.0) };
        await stores.Database.WriteAsync(t =>
        {
            TokenStore.Add(t, row);
            RecordStore.Append(t, actor, PeopleRecordKinds.TokenAdd, person.Name, null, TokenState.Of(row), null, now);
        }).ConfigureAwait(false);
        return token;
    }

    /// <summary>Revokes a token of one's own, or as an administrator anybody's.</summary>
    public async Task RevokeTokenAsync(string? id)
    {
        var owner = stores.Tokens.All().FirstOrDefault(t => t.Id == id) ?? throw PeopleTexts.UnknownToken();
        var actor = Me()?.Id == owner.Person ? await current.GetAsync().ConfigureAwait(false) : await current.GetAsync(Roles.Administrator).ConfigureAwait(false);
        var now = Now();
        await stores.Database.WriteAsync(t =>
        {
            var token = TokenStore.Revoke(t, owner.Id, now) ?? throw PeopleTexts.UnknownToken();
            RecordStore.Append(t, actor, PeopleRecordKinds.TokenRevoke, PeopleStore.Get(t, token.Person)!.Name, TokenState.Of(token), null, null, now);
        }).ConfigureAwait(false);
    }

    private Instant Now() => Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);
}
