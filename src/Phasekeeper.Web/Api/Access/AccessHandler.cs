using System.Text.Encodings.Web;
using Microsoft.AspNetCore.Authentication;
using Microsoft.AspNetCore.Identity;
using Microsoft.Extensions.Options;
using Phasekeeper.Web.Features.SignIn;

namespace Phasekeeper.Web.Api.Access;

/// <summary>
/// Finds out who asks: a bearer token where one was sent, else the sign-in cookie, else the demo's sign-in where it is offered. Refusals are problem details for scripts, and the
/// sign-in page for people.
/// </summary>
public sealed class AccessHandler(
    IOptionsMonitor<AuthenticationSchemeOptions> schemes, ILoggerFactory logging, UrlEncoder encoder, BearerTokens tokens, PrintTokens prints, DemoAccess demo)
    : AuthenticationHandler<AuthenticationSchemeOptions>(schemes, logging, encoder)
{
    /// <summary>Name of the scheme.</summary>
    public new const string Scheme = "Phasekeeper";

    /// <summary>The sign-in page.</summary>
    public const string SignInPath = "/sign-in";

    /// <summary>The page for those whose role does not reach.</summary>
    public const string NoAccessPath = "/no-access";

    /// <summary>One's own account.</summary>
    public const string AccountPath = "/account";

    private TimeSpan? retryAfter;

    /// <inheritdoc/>
    protected override async Task<AuthenticateResult> HandleAuthenticateAsync()
    {
        if (Request.Headers.Authorization.Count > 0)
        {
            // A file of the pages is fetched with the same header; it is open to all and asks for nobody.
            if (PrintTokens.IsSent(Request)) return prints.Authenticate(Request) is { } printer ? AuthenticateResult.Success(new AuthenticationTicket(printer, Scheme)) : AuthenticateResult.Fail(ApiTexts.UnknownPersonalToken);
            (var principal, var refusal, retryAfter) = await tokens.AuthenticateAsync(Request);
            return principal is null ? AuthenticateResult.Fail(refusal!) : AuthenticateResult.Success(new AuthenticationTicket(principal, Scheme));
        }
        var cookie = await Context.AuthenticateAsync(IdentityConstants.ApplicationScheme);
        if (cookie.Succeeded)
            return LoopbackRequest.WhyForeign(Request) is { } foreign ? AuthenticateResult.Fail(foreign) : AuthenticateResult.Success(new AuthenticationTicket(cookie.Principal, cookie.Properties, Scheme));
        if (!demo.IsOffered) return AuthenticateResult.NoResult();
        return LoopbackRequest.WhyNotLocal(Request) is { } reason ? AuthenticateResult.Fail(reason) : AuthenticateResult.Success(new AuthenticationTicket(demo.Principal(Request), Scheme));
    }

    /// <summary>Scripts: 401 with problem details that say why, or 429 after too many wrong tokens. People: the sign-in page.</summary>
    protected override async Task HandleChallengeAsync(AuthenticationProperties properties)
    {
        var outcome = await HandleAuthenticateOnceSafeAsync();
        if (IsPage())
        {
            Response.Redirect($"{SignInPath}?returnUrl={UrlEncoder.Default.Encode(Request.Path + Request.QueryString)}");
            return;
        }
        if (retryAfter is { } wait)
        {
            Response.Headers.RetryAfter = SignInRefusal.Seconds(wait);
            await TypedResults.Problem(outcome.Failure!.Message, statusCode: StatusCodes.Status429TooManyRequests).ExecuteAsync(Context);
            return;
        }
        Response.Headers.WWWAuthenticate = BearerTokens.Scheme;
        await ApiProblems.Unauthorized(outcome.Failure?.Message ?? ApiTexts.NotSignedIn).ExecuteAsync(Context);
    }

    /// <summary>Scripts: 403 with problem details. People: the page that says so, or the one where the password is changed.</summary>
    protected override async Task HandleForbiddenAsync(AuthenticationProperties properties)
    {
        if (IsPage()) Response.Redirect(Context.User.HasClaim(c => c.Type == PersonClaims.MustChangePassword) ? AccountPath : NoAccessPath);
        else await ApiProblems.Forbidden(Context.GetEndpoint(), Context.User).ExecuteAsync(Context);
    }

    private bool IsPage() => Request.Headers.Authorization.Count == 0 && (HttpMethods.IsGet(Request.Method) || HttpMethods.IsHead(Request.Method))
        && !new PathString[] { "/api", "/openapi", "/_blazor", "/_framework" }.Any(prefix => Request.Path.StartsWithSegments(prefix, StringComparison.OrdinalIgnoreCase));
}
