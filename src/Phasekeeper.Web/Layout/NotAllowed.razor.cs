using System.Security.Claims;
using Microsoft.AspNetCore.Components;
using Phasekeeper.Web.Api.Access;

namespace Phasekeeper.Web.Layout;

/// <summary>What stands in a page's place for someone who may not see it.</summary>
public sealed partial class NotAllowed(NavigationManager navigation)
{
    /// <summary>Who.</summary>
    [Parameter, EditorRequired]
    public ClaimsPrincipal User { get; set; } = default!;

    private string SignInHref => $"{AccessHandler.SignInPath}?returnUrl={Uri.EscapeDataString(new Uri(navigation.Uri).PathAndQuery)}";
}
