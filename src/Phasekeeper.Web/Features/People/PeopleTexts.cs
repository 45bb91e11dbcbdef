using Phasekeeper.Storage;
using Phasekeeper.Web.Features.SignIn;

namespace Phasekeeper.Web.Features.People;

/// <summary>A wish about people that cannot be granted; the message says why and what to do.</summary>
public sealed class PeopleException(string message) : Exception(message);

/// <summary>All refusals about people and tokens, so that they can be read together.</summary>
public static class PeopleTexts
{
    /// <summary>No such person.</summary>
    public static PeopleException Unknown(string id) => new($"There is no person with the id '{id}'. Load the page again.");

    /// <summary>A name that cannot stand beside decisions.</summary>
    public static PeopleException BadName(string name, int longest) => new($"The name '{name}' cannot be used; expected 1 to {longest} characters that can be seen, of one script where scripts look alike, and none of the names that the program itself uses (system, rules, profile, bootstrap, demo …).");

    /// <summary>A name that somebody has.</summary>
    public static PeopleException NameTaken(string name) => new($"There is a person '{name}' already; capitals make no difference. Choose another name.");

    /// <summary>No role, or an unknown one.</summary>
    public static PeopleException BadRoles(IEnumerable<string> found) => new($"Found the roles '{string.Join(", ", found)}'; expected at least one of {string.Join(", ", Roles.All)}. To keep somebody out, lock them.");

    /// <summary>A change of one's own roles or lock.</summary>
    public static PeopleException OwnRights() => new("Nobody changes their own roles or locks themselves: ask another administrator.");

    /// <summary>The last administrator.</summary>
    public static PeopleException LastAdministrator(string name) => new($"{name} is the last administrator who can sign in with a password; one who signs in by an identity provider is so only by its word. Make another one first.");

    /// <summary>A password for someone who signs in by the identity provider.</summary>
    public static PeopleException SignsInElsewhere(string name) => new($"{name} signs in by the identity provider and has no password here.");

    /// <summary>Someone else was quicker.</summary>
    public static PeopleException ChangedMeanwhile(string name) => new($"{name} was changed by someone else meanwhile. Load the page again.");

    /// <summary>Password rules.</summary>
    public static PeopleException BadPassword(IEnumerable<string> reasons) => new(string.Join(' ', reasons));

    /// <summary>Wrong present password.</summary>
    public static PeopleException WrongPassword() => new("The present password is wrong, or the account is locked after too many wrong ones. Nothing was changed.");

    /// <summary>Too many wrong passwords in a short time.</summary>
    public static PeopleException TooManyWrong(TimeSpan wait) => new(SignInRefusal.TooManyText(wait) + " Nothing was changed.");

    /// <summary>No password here.</summary>
    public static PeopleException NoPassword() => new("This account has no password here: it signs in by the identity provider, or it is the demo's or a token's.");

    /// <summary>A token before the password that somebody else gave is changed.</summary>
    public static PeopleException PasswordFirst() => new("Your password was given to you by an administrator and must be changed first. Change it, then make the token.");

    /// <summary>Two different passwords.</summary>
    public static PeopleException NotRepeated() => new("The two new passwords differ. Nothing was changed.");

    /// <summary>A token name.</summary>
    public static PeopleException BadTokenName(int longest) => new($"A token needs a name of 1 to {longest} characters that says what it is for.");

    /// <summary>A scope.</summary>
    public static PeopleException BadScope(string found, IEnumerable<string> offered) => new($"Found the scope '{found}'; with your roles expected one of {string.Join(", ", offered)}.");

    /// <summary>A time to live.</summary>
    public static PeopleException BadDays(string found, int most) => new($"Found '{found}' days; expected a whole number from 1 to {most}.");

    /// <summary>No such token.</summary>
    public static PeopleException UnknownToken() => new("There is no such token of yours that still stands. Load the page again.");
}
