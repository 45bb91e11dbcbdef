using System.Globalization;
using Phasekeeper.Web.Features.SignIn;

namespace Phasekeeper.Web.Api;

/// <summary>Every message that the API answers a mistake with, so that they can be read together: found, expected, what to do.</summary>
public static class ApiTexts
{
    /// <summary>Authorization header of another kind.</summary>
    public const string NotABearerToken = "The Authorization header is of another kind; expected 'Authorization: Bearer <token>'.";

    /// <summary>Token that is not the configured one.</summary>
    public const string WrongToken = "The bearer token is not known here. Use a personal token (page Account), or on the machine itself the value of Phasekeeper:Bootstrap:Token (environment Phasekeeper__Bootstrap__Token).";

    /// <summary>Token from another machine.</summary>
    public const string TokenOnlyFromLoopback = "The token is no personal one (they begin with pk_), and the bootstrap token counts only on the machine itself (loopback, no proxy in between). Make a personal token on the page Account, or run the script there.";

    /// <summary>Neither token nor cookie.</summary>
    public const string NotSignedIn = "Nobody is signed in. Send 'Authorization: Bearer <token>' with a token from the page Account, or sign in at /sign-in.";

    /// <summary>The demo, asked from elsewhere.</summary>
    public const string DemoOnlyFromLoopback = "The demo signs in only who works at the machine itself (loopback, no proxy in between), and this request does not come from there. Sign in at /sign-in, or send a personal token.";

    /// <summary>Too many tokens that nobody has.</summary>
    public static string TooManyTokens(TimeSpan wait) => $"Too many tokens that nobody has came from this address. This one was not looked at; try again in {SignInRefusal.Seconds(wait)} s with a token that stands (page Account).";

    /// <summary>A personal token that was never given out.</summary>
    public const string UnknownPersonalToken = "The personal token is not known here. Look whether all of it was copied, or make another one on the page Account.";

    /// <summary>The choice of a role outside the demo.</summary>
    public const string NotTheDemo = "Roles are chosen only in the demo, by who is signed in by it. Elsewhere an administrator gives them on the page People.";

    /// <summary>A revoked token.</summary>
    public static string RevokedToken(string name) => $"The token '{name}' is revoked. Make another one on the page Account.";

    /// <summary>A token past its time.</summary>
    public static string ExpiredToken(string name, Core.Time.Instant expires) => $"The token '{name}' expired at {expires}. Make another one on the page Account.";

    /// <summary>A token whose owner is locked.</summary>
    public static string OwnerLocked(string name) => $"The owner of the token '{name}' is locked. Ask an administrator.";

    /// <summary>A token for which its owner lacks the role.</summary>
    public static string NothingLeft(string name) => $"The owner of the token '{name}' no longer has the role that it is for. Ask an administrator, or make another one.";

    /// <summary>A role that does not reach.</summary>
    public static string RoleLacks(string who, string roles, string needed) => $"This asks for '{needed}'; {who} has '{roles}'. Ask an administrator for the role, or use a token with that scope.";

    /// <summary>Sent by a web page of another site.</summary>
    public const string ForeignPage = "The request was sent by a web page of another site. Open Phasekeeper itself, or send a bearer token from a script.";

    /// <summary>A local connection under a name that is not loopback (a rebound name).</summary>
    public static string HostIsNotLoopback(string host) =>
        $"The request is addressed to the host '{host}'. The demo's sign-in expects localhost, 127.0.0.1 or [::1]: use one of these, or sign in.";

    /// <summary>A time that cannot be read.</summary>
    public static string BadTime(string parameter, string found) =>
        $"Query parameter '{parameter}': found '{found}'; expected ISO 8601 UTC such as 2031-03-01T12:00:00Z (a date alone means 00:00). Write '+' as %2B in an offset.";

    /// <summary>A range that ends before it starts.</summary>
    public static string RangeReversed(string from, string to) =>
        $"The range from={from} to={to} ends before it starts; expected 'from' (inclusive) at or before 'to' (exclusive).";

    /// <summary>A limit that is not a number in range.</summary>
    public static string BadLimit(string found, int largest) =>
        string.Create(CultureInfo.InvariantCulture, $"Query parameter 'limit': found '{found}'; expected a whole number from 1 to {largest}.");

    /// <summary>A continuation that this list did not give.</summary>
    public static string BadContinuation(string found) =>
        $"Query parameter 'next': found '{found}'; expected the 'next' of an earlier answer of the same list, unchanged. Leave it out to start again.";

    /// <summary>A word that is not among the known ones.</summary>
    public static string UnknownWord(string parameter, string found, IEnumerable<string> known) =>
        $"Query parameter '{parameter}': found '{found}'; expected one of {string.Join(", ", known)}.";

    /// <summary>A view or line of a mission without an instrument.</summary>
    public static string NoInstrument(string parameter, string found) =>
        $"Query parameter '{parameter}': found '{found}'; this mission's profile has no instrument (housekeeping only), so leave it out.";

    /// <summary>A thing asked for by a name that is not there, with those that are.</summary>
    public static string UnknownName(string kind, string found, IEnumerable<string> known)
    {
        const int most = 100;
        var names = known.ToArray();
        var more = names.Length > most ? string.Create(CultureInfo.InvariantCulture, $" and {names.Length - most} more") : "";
        return $"There is no {kind} '{found}'; " + (names.Length == 0 ? "there is none yet." : $"expected one of {string.Join(", ", names.Take(most))}{more}.");
    }

    /// <summary>A number in an address that is none.</summary>
    public static string BadId(string kind, string found) => $"The id of a {kind} is a whole number; found '{found}'.";

    /// <summary>A piece that left quarantine's waiting room already.</summary>
    public static string NotWaiting(long id, string state) =>
        string.Create(CultureInfo.InvariantCulture, $"The quarantine item {id} is {state}; only a waiting one can be tried again.");

    /// <summary>A body that is a web form.</summary>
    public static string FormBody(string contentType) =>
        $"The body is a web form ({contentType}); expected the file's bytes themselves, for example: curl --data-binary @day.pkt -H 'Content-Type: application/octet-stream'.";

    /// <summary>A body that is too large.</summary>
    public static string BodyTooLarge(long largest) =>
        string.Create(CultureInfo.InvariantCulture, $"The body is larger than {largest} bytes (512 MiB). Send the file in parts; what was stored already is recognised and not counted twice.");

    /// <summary>A body that is not the JSON that a step understands.</summary>
    public static string BadStepBody(string reason) => $"The body cannot be read ({reason}); expected nothing, or JSON such as {{ \"note\": \"seen, heater commanded\" }}.";

    /// <summary>A step that flags do not have.</summary>
    public static string UnknownStep(string found, IEnumerable<string> known) => $"A flag has no step '{found}'; expected one of {string.Join(", ", known)}.";

    /// <summary>A thing asked for by a name that is not there.</summary>
    public static string NotFound(string kind, string name) => $"There is no {kind} '{name}'.";

    /// <summary>An address that is no endpoint.</summary>
    public static string NoSuchEndpoint(string path) => $"There is nothing at '{path}'. /openapi/v1.json lists all calls.";
}
