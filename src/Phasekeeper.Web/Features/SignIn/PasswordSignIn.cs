using System.Globalization;
using Microsoft.AspNetCore.Identity;
using Phasekeeper.Core.Time;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.People;

namespace Phasekeeper.Web.Features.SignIn;

/// <summary>Why a sign-in is refused.</summary>
/// <param name="Text">A sentence for whoever tried.</param>
/// <param name="RetryAfter">Too many attempts: how long the next one has to wait; null: another reason.</param>
public sealed record SignInRefusal(string Text, TimeSpan? RetryAfter = null)
{
    /// <summary>Too many wrong attempts.</summary>
    public static SignInRefusal TooMany(TimeSpan wait) => new(TooManyText(wait), wait);

    /// <summary>The words of <see cref="TooMany"/>.</summary>
    public static string TooManyText(TimeSpan wait) =>
        $"Too many wrong attempts came from this address or for this name. This one was not looked at; try again in {Seconds(wait)} s. An administrator can set a new password meanwhile.";

    /// <summary>Whole seconds, at least one: what the header Retry-After says.</summary>
    public static string Seconds(TimeSpan wait) => Math.Max(1, Math.Ceiling(wait.TotalSeconds)).ToString(CultureInfo.InvariantCulture);
}

/// <summary>Sign-in with name and password.</summary>
public sealed class PasswordSignIn(Stores stores, UserManager<Person> people, SignInManager<Person> signIn, AttemptLimits limits, RefusedSignIns refused, IHttpContextAccessor http, TimeProvider clock)
{
    /// <summary>The same words for an unknown name, a wrong password and a lock: an answer must not tell which names there are.</summary>
    public static readonly string Refusal =
        $"The name or the password is wrong, or sign-in under this name is paused: after {SignInRegistration.WrongPasswords} wrong passwords for {SignInRegistration.Pause.TotalMinutes:0} minutes, or by an administrator until he or she lifts it.";

    // An unknown or locked name takes as long as one with which a password is compared.
    private static string? nobodysHash;

    /// <summary>Signs in; null, or why not.</summary>
    public async Task<SignInRefusal?> TryAsync(string? name, string? password)
    {
        var (given, secret) = (PersonNames.Clean(name), password ?? "");
        var key = people.NormalizeName(given) ?? "";
        if (limits.PasswordWait(http.HttpContext, key) is { } wait) return SignInRefusal.TooMany(wait);
        // One at a time: attempts sent together would all read the same count of wrong ones, and only one of them be counted.
        using var turn = await limits.TurnAsync(key).ConfigureAwait(false);
        if (turn is null) return SignInRefusal.TooMany(limits.NoTurnWait);
        if (limits.PasswordWait(http.HttpContext, key) is { } longer) return SignInRefusal.TooMany(longer);
        var known = await people.FindByNameAsync(given).ConfigureAwait(false);
        if (known is not { PasswordHash: not null } person || person.IsLockedAt(Now()))
        {
            var nobody = new Person();
            nobodysHash ??= people.PasswordHasher.HashPassword(nobody, "nobody");
            people.PasswordHasher.VerifyHashedPassword(nobody, nobodysHash, secret);
            limits.WrongPassword(http.HttpContext, key);
            await refused.AddAsync(known?.Name, Address).ConfigureAwait(false);
            return new(Refusal);
        }
        var result = await signIn.CheckPasswordSignInAsync(person, secret, lockoutOnFailure: true).ConfigureAwait(false);
        if (!result.Succeeded)
        {
            limits.WrongPassword(http.HttpContext, key);
            await refused.AddAsync(person.Name, Address).ConfigureAwait(false);
            if (result.IsLockedOut) await RecordAsync(person, PeopleRecordKinds.Pause, $"{SignInRegistration.WrongPasswords} wrong passwords").ConfigureAwait(false);
            return new(Refusal);
        }
        person.LastSignIn = Now();
        if (!await RecordAsync(person, PeopleRecordKinds.SignIn, null).ConfigureAwait(false)) return new("The account was changed at the same moment. Try again.");
        await signIn.SignInAsync(person, isPersistent: false).ConfigureAwait(false);
        return null;
    }

    private Task<bool> RecordAsync(Person person, string what, string? reason) => stores.Database.WriteAsync(t =>
    {
        if (!PeopleStore.Save(t, person)) return false;
        // What was refused stands before what ends it.
        refused.Close(t, person.Name);
        // Who has typed wrong passwords is not known to be the person.
        var actor = what == PeopleRecordKinds.SignIn ? new Actor(person.Name, Roles.Leading(person.Roles), Address) : Actor.System with { Address = Address };
        RecordStore.Append(t, actor, what, person.Name, null, null, reason, Now());
        return true;
    });

    private string? Address => http.HttpContext?.Connection.RemoteIpAddress?.ToString();

    private Instant Now() => Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);
}
