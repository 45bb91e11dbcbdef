using Microsoft.AspNetCore.Http.Features;
using Microsoft.AspNetCore.Http.Json;
using MudBlazor.Services;
using Phasekeeper.Web.Api;
using Phasekeeper.Web.Api.Access;
using Phasekeeper.Web.Features.People;
using Phasekeeper.Web.Layout;
using Phasekeeper.Web.Observability;

namespace Phasekeeper.Web.Hosting;

/// <summary>What the web part registers and the order of its middleware, each in one list.</summary>
public static class WebRegistration
{
    /// <summary>Services of pages, API and observation.</summary>
    public static WebApplicationBuilder AddPhasekeeperWeb(this WebApplicationBuilder builder)
    {
        var services = builder.Services;
        services.Configure<PhasekeeperOptions>(builder.Configuration.GetSection(PhasekeeperOptions.Section));
        services.Configure<FormOptions>(form => form.MultipartBodyLengthLimit = PhasekeeperHost.LargestBodyBytes);
        services.Configure<JsonOptions>(json => ApiJson.Configure(json.SerializerOptions));
        services.AddSingleton(TimeProvider.System);

        services.AddPhasekeeperAccess();
        services.AddPhasekeeperPeople();
        services.AddProblemDetails();
        services.AddPhasekeeperOpenApi();
        services.AddPhasekeeperObservability();
        services.AddResponseCompression();

        services.AddRazorComponents().AddInteractiveServerComponents();
        services.AddCascadingAuthenticationState();
        services.AddMudServices();
        services.AddSingleton<MissionStatus>();
        return builder;
    }

    /// <summary>Middleware and endpoints. Forwarded headers are not read: nobody can claim another address.</summary>
    public static WebApplication UsePhasekeeperWeb(this WebApplication app)
    {
        app.UseSecurityHeaders();
        app.UseExceptionHandler();
        app.UseApiStatusPages();
        app.UseResponseCompression();
        app.UseAuthentication();
        app.UseAuthorization();
        app.UseAntiforgery();

        app.MapStaticAssets().AllowAnonymous();
        app.MapPhasekeeperObservability();
        app.MapOpenApi();
        app.MapPhasekeeperApi();
        app.MapRazorComponents<App>().AddInteractiveServerRenderMode(
            // The security headers say it already; a second policy would only be confusing.
            options => options.ContentSecurityFrameAncestorsPolicy = null);
        return app;
    }
}
