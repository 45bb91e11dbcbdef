using Microsoft.AspNetCore.Authorization;
using Microsoft.AspNetCore.Components.Endpoints;
using Microsoft.AspNetCore.Components.Server.Circuits;
using Microsoft.AspNetCore.Http.Features;
using Microsoft.AspNetCore.Http.Json;
using MudBlazor.Services;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api;
using Phasekeeper.Web.Api.Access;
using Phasekeeper.Web.Features.Notices;
using Phasekeeper.Web.Features.People;
using Phasekeeper.Web.Features.Presence;
using Phasekeeper.Web.Features.Record;
using Phasekeeper.Web.Features.SignIn;
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
        // A form without its antiforgery token is the caller's mistake in every environment.
        services.Configure<RouteHandlerOptions>(routes => routes.ThrowOnBadRequest = false);

        services.AddPhasekeeperAccess();
        services.AddPhasekeeperPeople();
        services.AddPhasekeeperSignIn();
        services.AddExternalSignIn(builder.Configuration.GetSection(PhasekeeperOptions.Section).Get<PhasekeeperOptions>()?.OpenIdConnect ?? new());
        services.AddProblemDetails();
        services.AddPhasekeeperOpenApi();
        services.AddPhasekeeperObservability();
        services.AddPhasekeeperRecord();
        services.AddPhasekeeperNotices();
        services.AddResponseCompression();

        services.AddRazorComponents().AddInteractiveServerComponents();
        // Encrypted where the request was; without this it would never be.
        services.AddAntiforgery(antiforgery => antiforgery.Cookie.SecurePolicy = CookieSecurePolicy.SameAsRequest);
        services.AddCascadingAuthenticationState();
        services.AddMudServices();
        services.AddSingleton<MissionStatus>();
        services.AddSingleton<PagePresence>();
        services.AddScoped<CircuitPresence>();
        services.AddScoped<CircuitHandler>(s => s.GetRequiredService<CircuitPresence>());
        return builder;
    }

    /// <summary>Middleware and endpoints. Forwarded headers are read of named proxies only: nobody else can claim another address.</summary>
    public static WebApplication UsePhasekeeperWeb(this WebApplication app)
    {
        app.UseTrustedProxies(app.Configuration);
        app.UseSecurityHeaders();
        app.UseExceptionHandler();
        app.UseApiStatusPages();
        app.UseResponseCompression();
        app.UseAuthentication();
        app.UseAuthorization();
        app.UseAntiforgery();

        app.MapStaticAssets().AllowAnonymous();
        app.MapPhasekeeperObservability();
        app.MapOpenApi().RequireAuthorization(Roles.Viewer);
        app.MapSignIn();
        app.MapExternalSignIn();
        app.MapPhasekeeperApi();
        app.MapRazorComponents<App>().AddInteractiveServerRenderMode(
            // The security headers say it already; a second policy would only be confusing.
            options => options.ContentSecurityFrameAncestorsPolicy = null).Add(RequireViewerForTheHub);
        return app;
    }

    // Pages name their policies themselves; what serves circuits belongs to all of them.
    private static void RequireViewerForTheHub(EndpointBuilder endpoint)
    {
        if (endpoint.Metadata.OfType<ComponentTypeMetadata>().Any() || endpoint.Metadata.OfType<IAllowAnonymous>().Any()) return;
        endpoint.Metadata.Add(new AuthorizeAttribute(Roles.Viewer));
    }
}
