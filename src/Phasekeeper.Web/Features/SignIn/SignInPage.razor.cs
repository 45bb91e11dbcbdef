using Microsoft.AspNetCore.Components;
using Microsoft.Extensions.Options;
using Phasekeeper.Web.Api.Access;
using Phasekeeper.Web.Hosting;

namespace Phasekeeper.Web.Features.SignIn;

/// <summary>Name and password, or the way to the identity provider. Static: a cookie can only be given by an answer, not by a circuit.</summary>
public sealed partial class SignInPage(PasswordSignIn passwords, DemoAccess demo, IOptions<PhasekeeperOptions> options, NavigationManager navigation)
{
    private string? refusal;

    [CascadingParameter]
    private HttpContext Http { get; set; } = default!;

    /// <summary>What was typed.</summary>
    [SupplyParameterFromForm(FormName = "sign-in")]
    public Credentials? Given { get; set; }

    private string? Said => refusal ?? (Http.Request.Query.ContainsKey("refused") ? "The identity provider did not let you in, or its answer could not be used. Try again; the server's log says more." : null);

    private OpenIdConnectSettings Provider => options.Value.OpenIdConnect;

    private string ExternalHref => $"{ExternalSignIn.StartPath}?returnUrl={Uri.EscapeDataString(ReturnAddress.Of(Http.Request))}";

    private async Task SignInAsync()
    {
        if (await passwords.TryAsync(Given?.Name, Given?.Password) is not { } refused)
        {
            navigation.NavigateTo(ReturnAddress.Of(Http.Request));
            return;
        }
        refusal = refused.Text;
        if (refused.RetryAfter is not { } wait) return;
        Http.Response.StatusCode = StatusCodes.Status429TooManyRequests;
        Http.Response.Headers.RetryAfter = SignInRefusal.Seconds(wait);
    }

    /// <summary>Fields of the form.</summary>
    public sealed class Credentials
    {
        /// <summary>Name.</summary>
        public string? Name { get; set; }
        /// <summary>Password.</summary>
        public string? Password { get; set; }
    }
}
