using Microsoft.AspNetCore.Identity;
using Phasekeeper.Core.Time;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.SignIn;

/// <summary>Sign-in with name and password.</summary>
public sealed class PasswordSignIn(Stores stores, UserManager<Person> people, SignInManager<Person> signIn, IHttpContextAccessor http, TimeProvider clock)
{
    /// <summary>The same words for an unknown name, a wrong password and a lock: an answer must not tell which names there are.</summary>
    public static readonly string Refusal =
        $"The name or the password is wrong, or sign-in under this name is paused: after {SignInRegistration.WrongPasswords} wrong passwords for {SignInRegistration.Pause.TotalMinutes:0} minutes, or by an administrator until he or she lifts it.";

    // An unknown name takes as long as a known one.
    private static string? nobodysHash;

    /// <summary>Signs in; null, or why not.</summary>
    public async Task<string?> TryAsync(string? name, string? password)
    {
        var (given, secret) = ((name ?? "").Trim(), password ?? "");
        if (await people.FindByNameAsync(given).ConfigureAwait(false) is not { } person || person.PasswordHash is null)
        {
            var nobody = new Person();
            nobodysHash ??= people.PasswordHasher.HashPassword(nobody, "nobody");
            people.PasswordHasher.VerifyHashedPassword(nobody, nobodysHash, secret);
            return Refusal;
        }
        var wasPaused = person.IsLockedAt(Now());
        var result = await signIn.CheckPasswordSignInAsync(person, secret, lockoutOnFailure: true).ConfigureAwait(false);
        if (!result.Succeeded)
        {
            if (result.IsLockedOut && !wasPaused)
                await RecordAsync(person, PeopleRecordKinds.Pause, $"{SignInRegistration.WrongPasswords} wrong passwords").ConfigureAwait(false);
            return Refusal;
        }
        person.LastSignIn = Now();
        if (await RecordAsync(person, PeopleRecordKinds.SignIn, null).ConfigureAwait(false)) await signIn.SignInAsync(person, isPersistent: false).ConfigureAwait(false);
        else return "The account was changed at the same moment. Try again.";
        return null;
    }

    private Task<bool> RecordAsync(Person person, string what, string? reason) => stores.Database.WriteAsync(t =>
    {
        if (!PeopleStore.Save(t, person)) return false;
        // Who has typed wrong passwords is not known to be the person.
        var actor = what == PeopleRecordKinds.SignIn ? new Actor(person.Name, Roles.Leading(person.Roles), Address) : Actor.System with { Address = Address };
        RecordStore.Append(t, actor, what, person.Name, null, null, reason, Now());
        return true;
    });

    private string? Address => http.HttpContext?.Connection.RemoteIpAddress?.ToString();

    private Instant Now() => Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);
}
