using System.Security.Claims;
using System.Security.Cryptography;
using System.Text;
using Microsoft.Extensions.Options;
using Phasekeeper.Core.Time;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.SignIn;
using Phasekeeper.Web.Hosting;

namespace Phasekeeper.Web.Api.Access;

/// <summary>Bearer tokens: the bootstrap token, from loopback only, and the personal ones.</summary>
public sealed class BearerTokens(Stores stores, AttemptLimits limits, IOptionsMonitor<PhasekeeperOptions> options, TimeProvider clock)
{
    /// <summary>Authentication type of their principals.</summary>
    public const string Scheme = "Bearer";

    /// <summary>The bootstrap token's actor.</summary>
    public const string Bootstrap = Actor.Bootstrap;

    /// <summary>Personal tokens begin so, that they are recognised where they should not stand.</summary>
    public const string Prefix = "pk_";

    private const int SecretBytes = 32;
    private const double UseNotedEveryS = 60;

    /// <summary>
    /// Principal of an Authorization header, or why it is refused and, after too many unknown tokens, how long to wait. A wrong token is refused even where none would be asked for. A right personal token
    /// is not held up by wrong ones from its address: nobody guesses 256 random bits. The bootstrap token is chosen by people, so it is.
    /// </summary>
    public async Task<(ClaimsPrincipal? Principal, string? Refusal, TimeSpan? RetryAfter)> AuthenticateAsync(HttpRequest request)
    {
        ArgumentNullException.ThrowIfNull(request);
        var header = request.Headers.Authorization.ToString();
        if (!header.StartsWith(Scheme + " ", StringComparison.OrdinalIgnoreCase)) return (null, ApiTexts.NotABearerToken, null);
        var token = header[(Scheme.Length + 1)..].Trim();
        var wait = limits.TokenWait(request.HttpContext);
        if (token.StartsWith(Prefix, StringComparison.Ordinal))
        {
            if (stores.Tokens.ByHash(HashOf(token)) is not { } row) return Unknown(request, ApiTexts.UnknownPersonalToken, wait);
            var (principal, refusal) = await PersonalAsync(row).ConfigureAwait(false);
            return (principal, refusal, null);
        }
        if (!LoopbackRequest.IsLoopbackConnection(request)) return Unknown(request, ApiTexts.TokenOnlyFromLoopback, wait);
        return wait is null && IsBootstrap(token, options.CurrentValue.Bootstrap.Token) ? (PersonClaims.Principal(Bootstrap, [Roles.Administrator], Scheme), null, null) : Unknown(request, ApiTexts.WrongToken, wait);
    }

    /// <summary>A new token: what its owner is shown once, and what is kept.</summary>
    public static (string Token, byte[] Hash) New()
    {
        var token = Prefix + Convert.ToHexStringLower(RandomNumberGenerator.GetBytes(SecretBytes));
        return (token, HashOf(token));
    }

    // 256 random bits need no slow hash: nobody guesses them.
    private static byte[] HashOf(string token) => SHA256.HashData(Encoding.UTF8.GetBytes(token));

    private (ClaimsPrincipal?, string, TimeSpan?) Unknown(HttpRequest request, string reason, TimeSpan? wait)
    {
        if (wait is { } already) return (null, ApiTexts.TooManyTokens(already), wait);
        limits.WrongToken(request.HttpContext);
        return (null, reason, null);
    }

    private async Task<(ClaimsPrincipal? Principal, string? Refusal)> PersonalAsync(TokenRow row)
    {
        var now = Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);
        if (row.Revoked is not null) return (null, ApiTexts.RevokedToken(row.Name));
        if (row.Expires <= now) return (null, ApiTexts.ExpiredToken(row.Name, row.Expires));
        var owner = stores.People.Get(row.Person) ?? throw new InvalidOperationException($"The token {row.Id} belongs to nobody.");
        // Wrong passwords lock sign-in, not scripts: else anybody could stop them. An administrator's lock stops both.
        if (owner.IsLockedByAdministrator) return (null, ApiTexts.OwnerLocked(row.Name));
        var scopes = TokenScopes.Effective(row.Scopes, owner.Roles);
        if (scopes.Count == 0) return (null, ApiTexts.NothingLeft(row.Name));
        if (row.LastUsed is not { } last || now - last >= UseNotedEveryS) await stores.Database.WriteAsync(t => TokenStore.Used(t, row.Id, now)).ConfigureAwait(false);
        var roles = scopes.Where(scope => Roles.All.Contains(scope));
        return (PersonClaims.Principal(owner.Name, roles, Scheme, [new Claim(PersonClaims.Token, row.Id), .. scopes.Contains(TokenScopes.Intake) ? [new Claim(PersonClaims.Scope, TokenScopes.Intake)] : Array.Empty<Claim>()]), null);
    }

    /// <summary>Hashes first, so that neither content nor length of the expected token shows in the time taken.</summary>
    private static bool IsBootstrap(string found, string? expected) => !string.IsNullOrEmpty(expected) && CryptographicOperations.FixedTimeEquals(HashOf(found), HashOf(expected));
}
