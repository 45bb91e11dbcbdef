using Microsoft.AspNetCore.Components;
using Phasekeeper.Core.Time;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Account;

namespace Phasekeeper.Web.Features.People;

/// <summary>Accounts, roles, locks and tokens, for administrators. Static: a password that is shown once stands in one answer and in no circuit.</summary>
public sealed partial class PeoplePage(PeopleService service, AccountService account, Stores stores, TimeProvider clock) : AccountFormsPage(account)
{
    private IReadOnlyList<Person> people = [];
    private IReadOnlyList<TokenRow> tokens = [];
    private string? password;

    [CascadingParameter]
    private HttpContext Http { get; set; } = default!;

    /// <summary>What a form asks for.</summary>
    [SupplyParameterFromForm]
    public Fields? Asked { get; set; }

    private Instant Now => Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);

    /// <inheritdoc/>
    protected override void Read() => (people, tokens) = (stores.People.All(), stores.Tokens.All());

    private Task AddAsync() => TryAsync(async () =>
    {
        password = await service.AddAsync(Asked?.Name ?? "", Asked?.Roles ?? []);
        Said = $"{Asked!.Name!.Trim()} may sign in with the password shown this once:";
    });

    private Task GiveRolesAsync() => TryAsync(async () =>
    {
        await service.SetRolesAsync(Asked?.Id ?? "", Asked?.Roles ?? []);
        Said = $"{NameOf(Asked!.Id!)} has other roles now; open sessions end within a minute.";
    });

    private Task StepAsync() => TryAsync(async () =>
    {
        var id = Asked?.Id ?? "";
        switch (Asked?.Step)
        {
            case "lock":
                await service.LockAsync(id);
                Said = $"{NameOf(id)} is locked; open sessions end within a minute, tokens at once.";
                break;
            case "unlock":
                await service.UnlockAsync(id);
                Said = $"{NameOf(id)} may sign in again.";
                break;
            case "reset":
                password = await service.ResetPasswordAsync(id);
                Said = $"{NameOf(id)} has a new password, shown this once:";
                break;
            default:
                throw new PeopleException($"Found the step '{Asked?.Step}'; expected lock, unlock or reset.");
        }
    });

    private string NameOf(string id) => people.FirstOrDefault(p => p.Id == id)?.Name ?? "?";

    private string StateOf(Person person) => person.IsLockedByAdministrator ? "locked"
        : person.IsLockedAt(Now) ? "paused after wrong passwords"
        : person.MustChangePassword ? "must change the password" : "in use";

    /// <summary>Fields of the page's forms.</summary>
    public sealed class Fields
    {
        /// <summary>Id of the person.</summary>
        public string? Id { get; set; }
        /// <summary>Name of a new person.</summary>
        public string? Name { get; set; }
        /// <summary>Roles.</summary>
        public List<string>? Roles { get; set; }
        /// <summary>lock, unlock or reset.</summary>
        public string? Step { get; set; }
    }
}
