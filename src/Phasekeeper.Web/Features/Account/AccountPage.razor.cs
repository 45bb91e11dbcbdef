using System.Security.Claims;
using Microsoft.AspNetCore.Components;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api.Access;
using Phasekeeper.Web.Features.People;

namespace Phasekeeper.Web.Features.Account;

/// <summary>One's own password and tokens. Static: a secret that is shown once stands in one answer and in no circuit.</summary>
public sealed partial class AccountPage(AccountService account, Stores stores)
{
    private Person? me;
    private IReadOnlyList<TokenRow> tokens = [];
    private string? refusal;
    private string? said;
    private string? token;

    [CascadingParameter]
    private HttpContext Http { get; set; } = default!;

    /// <summary>Fields of the password form.</summary>
    [SupplyParameterFromForm(FormName = "password")]
    public PasswordFields? Passwords { get; set; }

    /// <summary>Fields of the form for a new token.</summary>
    [SupplyParameterFromForm(FormName = "token")]
    public TokenFields? Wish { get; set; }

    /// <summary>Id of the token to revoke.</summary>
    [SupplyParameterFromForm(FormName = "revoke", Name = "id")]
    public string? Revoked { get; set; }

    private string RolesText => string.Join(", ", Http.User.FindAll(ClaimTypes.Role).Select(claim => claim.Value));

    /// <inheritdoc/>
    protected override void OnInitialized() => Read();

    private void Read()
    {
        me = account.Me();
        tokens = me is null ? [] : stores.Tokens.Of(me.Id);
    }

    private Task ChangePasswordAsync() => TryAsync(async () =>
    {
        await account.ChangePasswordAsync(Passwords?.Present, Passwords?.Chosen, Passwords?.Repeated);
        said = "The password is changed.";
    });

    private Task AddTokenAsync() => TryAsync(async () =>
    {
        token = await account.AddTokenAsync(Wish?.Name, Wish?.Scope, Wish?.Days);
        Wish = null;
    });

    private Task RevokeAsync() => TryAsync(async () =>
    {
        await account.RevokeTokenAsync(Revoked);
        said = "The token is revoked; the next request with it is refused.";
    });

    private async Task TryAsync(Func<Task> change)
    {
        try
        {
            await change();
        }
        catch (Exception stated) when (stated is PeopleException or AccessDeniedException)
        {
            refusal = stated.Message;
        }
        Read();
    }

    private static string ScopeText(string scope) => scope == TokenScopes.Intake ? "bring data, nothing else" : $"what a role may: {scope}";

    /// <summary>Passwords typed.</summary>
    public sealed class PasswordFields
    {
        /// <summary>The one in use.</summary>
        public string? Present { get; set; }
        /// <summary>The new one.</summary>
        public string? Chosen { get; set; }
        /// <summary>The new one again.</summary>
        public string? Repeated { get; set; }
    }

    /// <summary>What a token is to be.</summary>
    public sealed class TokenFields
    {
        /// <summary>What it is for.</summary>
        public string? Name { get; set; }
        /// <summary>What it may.</summary>
        public string? Scope { get; set; }
        /// <summary>Days until it expires.</summary>
        public string? Days { get; set; }
    }
}
