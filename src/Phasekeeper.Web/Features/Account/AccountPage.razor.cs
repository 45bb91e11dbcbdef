using System.Security.Claims;
using Microsoft.AspNetCore.Components;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api.Access;
using Phasekeeper.Web.Features.People;

namespace Phasekeeper.Web.Features.Account;

/// <summary>One's own password and tokens. Static: a secret that is shown once stands in one answer and in no circuit.</summary>
public sealed partial class AccountPage(AccountService account, Stores stores) : AccountFormsPage(account)
{
    private Person? me;
    private IReadOnlyList<TokenRow> tokens = [];
    private string? token;

    [CascadingParameter]
    private HttpContext Http { get; set; } = default!;

    /// <summary>Fields of the password form.</summary>
    [SupplyParameterFromForm(FormName = "password")]
    public PasswordFields? Passwords { get; set; }

    /// <summary>Fields of the form for a new token.</summary>
    [SupplyParameterFromForm(FormName = "token")]
    public TokenFields? Wish { get; set; }

    private string RolesText => string.Join(", ", Http.User.FindAll(ClaimTypes.Role).Select(claim => claim.Value));

    /// <inheritdoc/>
    protected override void Read()
    {
        me = Account.Me();
        tokens = me is null ? [] : stores.Tokens.Of(me.Id);
    }

    private Task ChangePasswordAsync() => TryAsync(async () =>
    {
        await Account.ChangePasswordAsync(Passwords?.Present, Passwords?.Chosen, Passwords?.Repeated);
        Said = "The password is changed.";
    });

    private Task AddTokenAsync() => TryAsync(async () =>
    {
        token = await Account.AddTokenAsync(Wish?.Name, Wish?.Scope, Wish?.Days);
        Wish = null;
    });

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
