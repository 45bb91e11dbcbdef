using System.Collections.Concurrent;
using System.Net;
using System.Net.Http.Json;
using System.Security.Claims;
using System.Security.Cryptography;
using System.Text;
using Microsoft.AspNetCore.WebUtilities;
using Microsoft.IdentityModel.JsonWebTokens;
using Microsoft.IdentityModel.Tokens;

namespace Phasekeeper.Web.Tests.Support;

/// <summary>
/// An identity provider by the text of OpenID Connect Core 1.0 (3.1, authorization code) and RFC 7636 (PKCE, S256), as strict as one: codes count once, and the verifier, the client's secret and
/// the address to come back to must fit. The program reaches it by this handler in place of the network; the test goes the browser's part of the way.
/// </summary>
public sealed class TestIdentityProvider : HttpMessageHandler
{
    /// <summary>Its name, as settings give it.</summary>
    public const string Issuer = "https://id.example";

    /// <summary>The program's id there.</summary>
    public const string ClientId = "phasekeeper";

    /// <summary>The program's secret there.</summary>
    public const string ClientSecret = "a secret of this test only";

    private readonly RSA published = RSA.Create(2048);
    private readonly RSA other = RSA.Create(2048);
    private readonly ConcurrentDictionary<string, Grant> codes = new();
    private readonly ConcurrentDictionary<string, Grant> tokens = new();

    /// <summary>True: signs with a key that it has not published, as somebody else would.</summary>
    public bool SignsWithAnotherKey { get; set; }

    /// <summary>True: puts another nonce into its token, as one that was made for another sign-in has.</summary>
    public bool ForgetsNonce { get; set; }

    /// <summary>The provider's page: somebody signs in there; gives where the browser is sent back to.</summary>
    public Uri SignIn(Uri asked, string subject, string name, params string[] groups)
    {
        Assert.Equal($"{Issuer}/authorize", asked.GetLeftPart(UriPartial.Path));
        var query = QueryHelpers.ParseQuery(asked.Query);
        Assert.Equal((ClientId, "code", "S256"), (query["client_id"].ToString(), query["response_type"].ToString(), query["code_challenge_method"].ToString()));
        Assert.Contains("openid", query["scope"].ToString().Split(' '));
        var code = Convert.ToHexString(RandomNumberGenerator.GetBytes(16));
        codes[code] = new(subject, name, groups, query["nonce"].ToString(), query["code_challenge"].ToString(), query["redirect_uri"].ToString());
        return new(QueryHelpers.AddQueryString(query["redirect_uri"].ToString(), new Dictionary<string, string?> { ["code"] = code, ["state"] = query["state"].ToString() }));
    }

    /// <inheritdoc/>
    protected override async Task<HttpResponseMessage> SendAsync(HttpRequestMessage request, CancellationToken cancellationToken) => request.RequestUri!.AbsolutePath switch
    {
        "/.well-known/openid-configuration" => Answer(new
        {
            issuer = Issuer,
            authorization_endpoint = $"{Issuer}/authorize",
            token_endpoint = $"{Issuer}/token",
            userinfo_endpoint = $"{Issuer}/userinfo",
            jwks_uri = $"{Issuer}/keys",
            response_types_supported = new[] { "code" },
            subject_types_supported = new[] { "public" },
            id_token_signing_alg_values_supported = new[] { "RS256" },
        }),
        "/keys" => Answer(new { keys = new[] { Key() } }),
        "/token" => Redeem(QueryHelpers.ParseQuery(await request.Content!.ReadAsStringAsync(cancellationToken)).ToDictionary(p => p.Key, p => p.Value.ToString())),
        "/userinfo" => tokens.TryGetValue(request.Headers.Authorization?.Parameter ?? "", out var of)
            ? Answer(new { sub = of.Subject, preferred_username = of.Name, roles = of.Groups }) : new HttpResponseMessage(HttpStatusCode.Unauthorized),
        _ => new HttpResponseMessage(HttpStatusCode.NotFound),
    };

    /// <inheritdoc/>
    protected override void Dispose(bool disposing)
    {
        base.Dispose(disposing);
        published.Dispose();
        other.Dispose();
    }

    private HttpResponseMessage Redeem(Dictionary<string, string> form)
    {
        if (!codes.TryRemove(form["code"], out var grant)) return Refuse("invalid_grant");
        var challenge = Base64UrlEncoder.Encode(SHA256.HashData(Encoding.ASCII.GetBytes(form["code_verifier"])));
        if (challenge != grant.Challenge || form["redirect_uri"] != grant.RedirectUri || form["grant_type"] != "authorization_code") return Refuse("invalid_grant");
        if (form["client_id"] != ClientId || form["client_secret"] != ClientSecret) return Refuse("invalid_client");
        var access = Convert.ToHexString(RandomNumberGenerator.GetBytes(16));
        tokens[access] = grant;
        var token = new JsonWebTokenHandler().CreateToken(new SecurityTokenDescriptor
        {
            Issuer = Issuer,
            Audience = ClientId,
            IssuedAt = DateTime.UtcNow,
            Expires = DateTime.UtcNow.AddMinutes(5),
            Subject = new ClaimsIdentity([new("sub", grant.Subject), new("nonce", ForgetsNonce ? "of another sign-in" : grant.Nonce)]),
            SigningCredentials = new(new RsaSecurityKey(SignsWithAnotherKey ? other : published) { KeyId = "one" }, SecurityAlgorithms.RsaSha256),
        });
        return Answer(new { access_token = access, token_type = "Bearer", expires_in = 300, id_token = token });
    }

    private object Key()
    {
        var key = published.ExportParameters(includePrivateParameters: false);
        return new { kty = "RSA", use = "sig", alg = "RS256", kid = "one", n = Base64UrlEncoder.Encode(key.Modulus), e = Base64UrlEncoder.Encode(key.Exponent) };
    }

    private static HttpResponseMessage Answer(object value) => new(HttpStatusCode.OK) { Content = JsonContent.Create(value) };

    private static HttpResponseMessage Refuse(string error) => new(HttpStatusCode.BadRequest) { Content = JsonContent.Create(new { error }) };

    private sealed record Grant(string Subject, string Name, string[] Groups, string Nonce, string Challenge, string RedirectUri);
}
