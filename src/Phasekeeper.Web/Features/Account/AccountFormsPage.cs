using Microsoft.AspNetCore.Components;
using Phasekeeper.Web.Features.People;

namespace Phasekeeper.Web.Features.Account;

/// <summary>A static page whose forms change accounts and tokens: what was done or refused is said in the answer, and what the page shows is read again.</summary>
/// <param name="account">Passwords and tokens.</param>
public abstract class AccountFormsPage(AccountService account) : ComponentBase
{
    /// <summary>Id of the token to revoke.</summary>
    [SupplyParameterFromForm(FormName = "revoke", Name = "id")]
    public string? Revoked { get; set; }

    /// <summary>Passwords and tokens.</summary>
    protected AccountService Account => account;

    /// <summary>Why nothing was done; null when all went well.</summary>
    protected string? Refusal { get; private set; }

    /// <summary>What was done.</summary>
    protected string? Said { get; set; }

    /// <inheritdoc/>
    protected override void OnInitialized() => Read();

    /// <summary>Reads what the page shows.</summary>
    protected abstract void Read();

    /// <summary>Revokes the token that a form names.</summary>
    protected Task RevokeAsync() => TryAsync(async () =>
    {
        await account.RevokeTokenAsync(Revoked);
        Said = "The token is revoked; the next request with it is refused.";
    });

    /// <summary>Does what a form asks for.</summary>
    protected async Task TryAsync(Func<Task> change)
    {
        try
        {
            await change();
        }
        catch (Exception stated) when (stated is PeopleException or AccessDeniedException)
        {
            Refusal = stated.Message;
        }
        Read();
    }
}
