using Microsoft.AspNetCore.Components;
using Microsoft.AspNetCore.Components.Web;

namespace Phasekeeper.Web.Layout;

/// <summary>The frame around every page: header with navigation and mission state, and the page itself.</summary>
public sealed partial class MainLayout(NavigationManager navigation)
{
    private ErrorBoundary? boundary;

    // With a base address of "/", a bare "#content" would lead to the first page.
    private string SkipTarget => new Uri(navigation.Uri).PathAndQuery + "#content";

    /// <summary>A failed page does not stay failed when another one is opened.</summary>
    protected override void OnParametersSet() => boundary?.Recover();

    private void Recover() => boundary?.Recover();
}
