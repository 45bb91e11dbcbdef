using System.Collections.Concurrent;
using System.Security.Claims;
using System.Security.Cryptography;
using System.Text;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Api.Access;

/// <summary>
/// Tokens with which the program's own browser reads one report to print it: each made for one print and taken back after it, kept in memory alone, good from loopback only, for reading only, and for a
/// few minutes at most. They open reports and the data of their plots and nothing else.
/// </summary>
public sealed class PrintTokens(TimeProvider clock)
{
    /// <summary>They begin so.</summary>
    public const string Prefix = "pkprint_";

    // Chosen: longer than the longest print may take.
    private static readonly TimeSpan Life = TimeSpan.FromMinutes(5);
    private static readonly PathString[] Opened = ["/reports/day", "/reports/week", "/api/v1/plots"];
    private readonly ConcurrentDictionary<string, DateTimeOffset> hashes = new(StringComparer.Ordinal);

    /// <summary>A new token; whoever asked takes it back with <see cref="TakeBack"/>.</summary>
    public string New()
    {
        var token = Prefix + Convert.ToHexStringLower(RandomNumberGenerator.GetBytes(32));
        hashes[HashOf(token)] = clock.GetUtcNow() + Life;
        return token;
    }

    /// <summary>Ends a token.</summary>
    public void TakeBack(string token) => hashes.TryRemove(HashOf(token), out _);

    /// <summary>Whether a request carries such a token, right or wrong.</summary>
    public static bool IsSent(HttpRequest request)
    {
        ArgumentNullException.ThrowIfNull(request);
        return request.Headers.Authorization.ToString().StartsWith($"{BearerTokens.Scheme} {Prefix}", StringComparison.Ordinal);
    }

    /// <summary>A principal that reads, or null where the token does not open what is asked for. Files of the pages themselves are open to all and need none.</summary>
    public ClaimsPrincipal? Authenticate(HttpRequest request)
    {
        ArgumentNullException.ThrowIfNull(request);
        var token = request.Headers.Authorization.ToString()[(BearerTokens.Scheme.Length + 1)..].Trim();
        return LoopbackRequest.IsLoopbackConnection(request) && HttpMethods.IsGet(request.Method) && Opened.Any(path => request.Path.StartsWithSegments(path, StringComparison.Ordinal))
            && hashes.TryGetValue(HashOf(token), out var until) && clock.GetUtcNow() < until ? PersonClaims.Principal("report printer", [Roles.Viewer], BearerTokens.Scheme) : null;
    }

    private static string HashOf(string token) => Convert.ToHexString(SHA256.HashData(Encoding.UTF8.GetBytes(token)));
}
