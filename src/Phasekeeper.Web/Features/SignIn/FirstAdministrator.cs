using System.Security.Cryptography;
using Microsoft.AspNetCore.Identity;
using Microsoft.Extensions.Options;
using Phasekeeper.Core.Time;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api.Access;
using Phasekeeper.Web.Hosting;

namespace Phasekeeper.Web.Features.SignIn;

/// <summary>
/// Makes the first administrator at a start at which there is nobody: with the password of the setting, or with a random one that is printed once and must be changed at the first sign-in.
/// The demo signs in without one, so it gets one only where the setting asks.
/// </summary>
public sealed class FirstAdministrator(Stores stores, UserManager<Person> people, DemoAccess demo, IOptions<PhasekeeperOptions> options, TimeProvider clock)
{
    /// <summary>The first administrator's name.</summary>
    public const string Name = "administrator";

    // 80 random bits in groups that can be copied by hand.
    private const int Groups = 4;

    /// <summary>Makes it where needed; what is to be printed, or null.</summary>
    /// <exception cref="InvalidOperationException">The password of the setting cannot be used.</exception>
    public async Task<string?> MakeAsync()
    {
        var given = options.Value.Bootstrap.AdminPassword;
        if (stores.People.Any() || (demo.IsOffered && string.IsNullOrEmpty(given))) return null;
        var password = string.IsNullOrEmpty(given) ? RandomPassword() : given;
        var now = Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);
        var person = new Person { Name = Name, NormalizedName = people.NormalizeName(Name)!, SecurityStamp = Guid.NewGuid().ToString("N"), Created = now, MustChangePassword = string.IsNullOrEmpty(given) };
        person.Roles.Add(Roles.Administrator);
        foreach (var validator in people.PasswordValidators)
            if (await validator.ValidateAsync(people, person, password).ConfigureAwait(false) is { Succeeded: false } refused)
                throw new InvalidOperationException($"The first administrator could not be made: {string.Join(' ', refused.Errors.Select(e => e.Description))} Give another Phasekeeper:Bootstrap:AdminPassword, or leave it out: one is made then and printed.");
        person.PasswordHash = people.PasswordHasher.HashPassword(person, password);
        var made = await stores.Database.WriteAsync(t =>
        {
            // Another program on the same folder may have been quicker: then its password counts, and this one must not be shown.
            if (!PeopleStore.Add(t, person)) return false;
            RecordStore.Append(t, Actor.System, PeopleRecordKinds.Add, Name, null, PersonState.Of(person), "First start: nobody could sign in.", now);
            return true;
        }).ConfigureAwait(false);
        return made && string.IsNullOrEmpty(given)
            ? $"First start: sign in as '{Name}' with the password {password} (shown this once, to be changed at the first sign-in)."
            : null;
    }

    /// <summary>A password that nobody guesses, without characters that are mistaken for others.</summary>
    public static string RandomPassword() => string.Join('-', Enumerable.Range(0, Groups).Select(_ => RandomNumberGenerator.GetString("abcdefghijkmnpqrstuvwxyz23456789", 4)));
}
