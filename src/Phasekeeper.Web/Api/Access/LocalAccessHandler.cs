using System.Security.Cryptography;
using System.Text;
using System.Text.Encodings.Web;
using Microsoft.AspNetCore.Authentication;
using Microsoft.Extensions.Options;
using Phasekeeper.Storage;
using Phasekeeper.Web.Hosting;

namespace Phasekeeper.Web.Api.Access;

/// <summary>
/// Authenticates the bootstrap token and requests from this machine. A token is compared in fixed time and counts only from
/// loopback; a wrong token is refused even where none would be asked for. Without a token a request counts as local only if
/// its connection and its Host are loopback, no proxy stands in front and no foreign web site sent it: a page open in the
/// same browser must not be able to use this address.
/// </summary>
public sealed class LocalAccessHandler(
    IOptionsMonitor<AuthenticationSchemeOptions> schemes, ILoggerFactory logging, UrlEncoder encoder,
    IOptionsMonitor<PhasekeeperOptions> options)
    : AuthenticationHandler<AuthenticationSchemeOptions>(schemes, logging, encoder)
{
    /// <summary>Name of the scheme.</summary>
    public new const string Scheme = "LocalAccess";

    private const string BearerPrefix = "Bearer ";

    /// <inheritdoc/>
    protected override Task<AuthenticateResult> HandleAuthenticateAsync() => Task.FromResult(Authenticate());

    private AuthenticateResult Authenticate()
    {
        var header = Request.Headers.Authorization.ToString();
        if (header.Length == 0)
        {
            var refusal = LoopbackRequest.WhyNotLocal(Request);
            return refusal is null ? Success(LocalActors.Local, Roles.Operator) : AuthenticateResult.Fail(refusal);
        }
        if (!header.StartsWith(BearerPrefix, StringComparison.OrdinalIgnoreCase))
            return AuthenticateResult.Fail(ApiTexts.NotABearerToken);
        if (!LoopbackRequest.IsLoopbackConnection(Request)) return AuthenticateResult.Fail(ApiTexts.TokenOnlyFromLoopback);
        return Matches(header[BearerPrefix.Length..].Trim(), options.CurrentValue.Bootstrap.Token)
            ? Success(LocalActors.Bootstrap, Roles.Administrator)
            : AuthenticateResult.Fail(ApiTexts.WrongToken);
    }

    /// <summary>Writes 401 with problem details that say why.</summary>
    protected override async Task HandleChallengeAsync(AuthenticationProperties properties)
    {
        var outcome = await HandleAuthenticateOnceSafeAsync();
        Response.Headers.WWWAuthenticate = "Bearer";
        await ApiProblems.Unauthorized(outcome.Failure?.Message ?? ApiTexts.WrongToken).ExecuteAsync(Context);
    }

    /// <summary>Hashes first, so that neither content nor length of the expected token shows in the time taken.</summary>
    private static bool Matches(string found, string? expected) => !string.IsNullOrEmpty(expected)
        && CryptographicOperations.FixedTimeEquals(SHA256.HashData(Encoding.UTF8.GetBytes(found)), SHA256.HashData(Encoding.UTF8.GetBytes(expected)));

    private static AuthenticateResult Success(string actor, string role) =>
        AuthenticateResult.Success(new AuthenticationTicket(LocalActors.Principal(actor, role, Scheme), Scheme));
}
