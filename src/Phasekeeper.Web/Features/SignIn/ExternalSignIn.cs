using System.Security.Claims;
using Microsoft.AspNetCore.Authentication;
using Microsoft.AspNetCore.Authentication.OpenIdConnect;
using Microsoft.AspNetCore.Identity;
using Microsoft.Extensions.Options;
using Microsoft.IdentityModel.Protocols.OpenIdConnect;
using Phasekeeper.Core.Time;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.People;
using Phasekeeper.Web.Hosting;

namespace Phasekeeper.Web.Features.SignIn;

/// <summary>
/// Sign-in by an OpenID Connect provider: authorization code with PKCE. The provider says who it is and in which groups; the settings map groups to roles at every sign-in. People found so have
/// no password here. A name that somebody has already is not taken over: names at a provider are no proof.
/// </summary>
public static class ExternalSignIn
{
    /// <summary>Name of the scheme, and of the provider beside identities.</summary>
    public const string Scheme = "OpenIdConnect";

    /// <summary>Where it begins.</summary>
    public const string StartPath = "/sign-in/provider";

    /// <summary>Where the provider's answer has become an identity.</summary>
    public const string DonePath = "/sign-in/provider/done";

    /// <summary>Where the provider sends the browser back to; to be entered there.</summary>
    public const string CallbackPath = "/sign-in/provider/callback";

    /// <summary>Registers the provider where one is named; otherwise nothing of it exists.</summary>
    public static void AddExternalSignIn(this IServiceCollection services, OpenIdConnectSettings settings)
    {
        ArgumentNullException.ThrowIfNull(settings);
        if (!settings.IsOn) return;
        var unknown = settings.Roles.Values.Where(role => !Roles.All.Contains(role)).ToArray();
        if (unknown.Length > 0 || string.IsNullOrEmpty(settings.ClientId) || settings.Roles.Count == 0)
            throw new InvalidOperationException(
                $"Phasekeeper:OpenIdConnect names an authority, so it needs a ClientId and at least one of Roles:<value of the claim '{settings.RoleClaim}'> = {string.Join(" | ", Roles.All)}; found ClientId '{settings.ClientId}' and {settings.Roles.Count} roles"
                + (unknown.Length > 0 ? $", of which unknown: {string.Join(", ", unknown)}." : "."));
        services.AddAuthentication().AddOpenIdConnect(Scheme, settings.Title, connect =>
        {
            connect.SignInScheme = IdentityConstants.ExternalScheme;
            connect.Authority = settings.Authority;
            connect.ClientId = settings.ClientId;
            connect.ClientSecret = settings.ClientSecret;
            connect.CallbackPath = CallbackPath;
            connect.ResponseType = OpenIdConnectResponseType.Code;
            // The answer comes as a link that is followed, so cookies that other sites cannot post with are enough.
            connect.ResponseMode = OpenIdConnectResponseMode.Query;
            connect.CorrelationCookie.SameSite = connect.NonceCookie.SameSite = SameSiteMode.Lax;
            connect.CorrelationCookie.SecurePolicy = connect.NonceCookie.SecurePolicy = CookieSecurePolicy.SameAsRequest;
            connect.UsePkce = true;
            connect.MapInboundClaims = false;
            connect.GetClaimsFromUserInfoEndpoint = true;
            // What comes with the person's particulars instead of the token; a list of groups becomes a claim each.
            connect.ClaimActions.MapUniqueJsonKey(settings.NameClaim, settings.NameClaim);
            connect.ClaimActions.MapJsonKey(settings.RoleClaim, settings.RoleClaim);
            foreach (var scope in settings.Scopes.Split(' ', StringSplitOptions.RemoveEmptyEntries)) connect.Scope.Add(scope);
            connect.TokenValidationParameters.NameClaimType = settings.NameClaim;
            connect.Events.OnRemoteFailure = context =>
            {
                context.Response.Redirect($"/sign-in?refused={Uri.EscapeDataString("provider")}");
                context.HandleResponse();
                return Task.CompletedTask;
            };
        });
    }

    /// <summary>Maps start and end where a provider is named.</summary>
    public static void MapExternalSignIn(this IEndpointRouteBuilder app)
    {
        if (!app.ServiceProvider.GetRequiredService<IOptions<PhasekeeperOptions>>().Value.OpenIdConnect.IsOn) return;
        app.MapGet(StartPath, (HttpRequest request) => TypedResults.Challenge(
                new AuthenticationProperties { RedirectUri = $"{DonePath}?returnUrl={Uri.EscapeDataString(ReturnAddress.Of(request))}" }, [Scheme]))
            .AllowAnonymous().ExcludeFromDescription();
        app.MapGet(DonePath, DoneAsync).AllowAnonymous().ExcludeFromDescription();
    }

    private static async Task<IResult> DoneAsync(HttpContext http, ExternalPeople people, SignInManager<Person> signIn)
    {
        var outcome = await http.AuthenticateAsync(IdentityConstants.ExternalScheme);
        await http.SignOutAsync(IdentityConstants.ExternalScheme);
        if (!outcome.Succeeded) return TypedResults.LocalRedirect("/sign-in?refused=provider");
        var (person, refusal) = await people.FindAsync(outcome.Principal, http.Connection.RemoteIpAddress?.ToString());
        if (person is null) return TypedResults.Problem(refusal, statusCode: StatusCodes.Status403Forbidden);
        await signIn.SignInAsync(person, isPersistent: false);
        return TypedResults.LocalRedirect(ReturnAddress.Of(http.Request));
    }
}

/// <summary>People known by a provider's word.</summary>
public sealed class ExternalPeople(Stores stores, UserManager<Person> managers, IOptions<PhasekeeperOptions> options, TimeProvider clock)
{
    private const string SubjectClaim = "sub";

    /// <summary>The person behind a provider's principal, with the roles that it gives now; or why not.</summary>
    public async Task<(Person? Person, string? Refusal)> FindAsync(ClaimsPrincipal principal, string? address)
    {
        ArgumentNullException.ThrowIfNull(principal);
        var settings = options.Value.OpenIdConnect;
        var found = principal.FindAll(settings.RoleClaim).Select(claim => claim.Value).ToArray();
        var roles = RolesOf(settings, found);
        if (principal.FindFirst(SubjectClaim)?.Value is not { Length: > 0 } subject) return (null, $"The provider named nobody: expected the claim '{SubjectClaim}'.");
        if (roles.Count == 0)
            return (null, $"None of your groups has a role here. The provider's claim '{settings.RoleClaim}' says '{string.Join(", ", found)}'; the settings know {string.Join(", ", settings.Roles.Keys)}. Ask whoever looks after the provider.");
        var now = Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);
        var known = stores.People.ByLogin(ExternalSignIn.Scheme, subject);
        if (known is not null && known.IsLockedAt(now)) return (null, PasswordSignIn.Refusal);
        var person = known ?? new Person { Created = now, SecurityStamp = Guid.NewGuid().ToString("N") };
        if (known is null)
        {
            try
            {
                person.Name = PersonNames.Checked(principal.FindFirst(settings.NameClaim)?.Value);
            }
            catch (PeopleException e)
            {
                return (null, $"The provider's claim '{settings.NameClaim}' cannot be a name here. {e.Message}");
            }
            person.NormalizedName = managers.NormalizeName(person.Name)!;
        }
        var before = known is null ? null : PersonState.Of(known);
        var changed = !person.Roles.SetEquals(roles);
        person.Roles.Clear();
        person.Roles.UnionWith(roles);
        person.LastSignIn = now;
        if (changed) person.SecurityStamp = Guid.NewGuid().ToString("N");
        var refusal = await stores.Database.WriteAsync(t =>
        {
            if (known is null)
            {
                if (!PeopleStore.Add(t, person)) return $"There is a person '{person.Name}' here already who does not sign in by the provider. Ask an administrator.";
                PeopleStore.AddLogin(t, person.Id, new PersonLogin(ExternalSignIn.Scheme, subject, settings.Title));
            }
            else if (!PeopleStore.Save(t, person)) return "The account was changed at the same moment. Try again.";
            var provider = Actor.System with { Address = address };
            if (changed) RecordStore.Append(t, provider, known is null ? PeopleRecordKinds.Add : PeopleRecordKinds.Roles, person.Name, before, PersonState.Of(person), "By the identity provider's word.", now);
            RecordStore.Append(t, new Actor(person.Name, Roles.Leading(person.Roles), address), PeopleRecordKinds.SignIn, person.Name, null, null, null, now);
            return null;
        }).ConfigureAwait(false);
        return refusal is null ? (person, null) : (null, refusal);
    }

    /// <summary>Our roles of a provider's values.</summary>
    public static IReadOnlySet<string> RolesOf(OpenIdConnectSettings settings, IEnumerable<string> values)
    {
        ArgumentNullException.ThrowIfNull(settings);
        return values.Select(value => settings.Roles.GetValueOrDefault(value)).OfType<string>().ToHashSet(StringComparer.Ordinal);
    }
}
