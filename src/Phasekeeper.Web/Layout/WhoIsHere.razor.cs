using System.Security.Claims;
using Microsoft.AspNetCore.Components;
using Microsoft.AspNetCore.Components.Authorization;

namespace Phasekeeper.Web.Layout;

/// <summary>Who is signed in, and how to be someone else: sign-out, or in the demo another role.</summary>
public sealed partial class WhoIsHere(NavigationManager navigation)
{
    private ClaimsPrincipal? user;

    [CascadingParameter]
    private Task<AuthenticationState> Authentication { get; set; } = default!;

    // Its path only: what the address asks for may not be for the other role.
    private string Here => new Uri(navigation.Uri).AbsolutePath;

    private string RoleText => string.Join(", ", user!.FindAll(ClaimTypes.Role).Select(claim => claim.Value));

    /// <inheritdoc/>
    protected override async Task OnParametersSetAsync() => user = (await Authentication).User;
}
