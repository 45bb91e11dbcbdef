using Microsoft.AspNetCore.Authentication.OpenIdConnect;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Mvc.Testing;
using Microsoft.Extensions.DependencyInjection;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.SignIn;

namespace Phasekeeper.Web.Tests.Support;

/// <summary>A host whose provider answers.</summary>
public class ProviderHost : WebHost
{
    /// <summary>The provider.</summary>
    public TestIdentityProvider Provider { get; } = new();

    /// <summary>A browser with nobody signed in.</summary>
    public HttpClient Browser() => CreateClient(new WebApplicationFactoryClientOptions { AllowAutoRedirect = false });

    /// <inheritdoc/>
    protected override bool SignsIn => false;

    /// <inheritdoc/>
    protected override void ConfigureWebHost(IWebHostBuilder builder)
    {
        base.ConfigureWebHost(builder);
        builder.UseSetting("Phasekeeper:Bootstrap:AdminPassword", SignInHost.AdminPassword);
        builder.UseSetting("Phasekeeper:OpenIdConnect:Authority", TestIdentityProvider.Issuer);
        builder.UseSetting("Phasekeeper:OpenIdConnect:ClientId", TestIdentityProvider.ClientId);
        builder.UseSetting("Phasekeeper:OpenIdConnect:ClientSecret", TestIdentityProvider.ClientSecret);
        builder.UseSetting("Phasekeeper:OpenIdConnect:Roles:wind-operators", Roles.Operator);
        builder.UseSetting("Phasekeeper:OpenIdConnect:Roles:wind-leads", Roles.CalibrationLead);
        builder.ConfigureServices(services => services.Configure<OpenIdConnectOptions>(ExternalSignIn.Scheme, o => o.BackchannelHttpHandler = Provider));
    }
}
