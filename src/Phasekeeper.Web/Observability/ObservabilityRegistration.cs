using Microsoft.AspNetCore.Diagnostics.HealthChecks;
using Microsoft.Extensions.Diagnostics.HealthChecks;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api.Access;

namespace Phasekeeper.Web.Observability;

/// <summary>Liveness, readiness and metrics.</summary>
public static class ObservabilityRegistration
{
    /// <summary>Tag of the health checks that decide readiness.</summary>
    public const string ReadyTag = "ready";

    /// <summary>Key of a check's datum that is told to whoever may look at the mission, and not to probes that nobody has signed in.</summary>
    public const string Detail = "detail";

    /// <summary>Registers health checks and the metrics that are exported.</summary>
    public static IServiceCollection AddPhasekeeperObservability(this IServiceCollection services)
    {
        services.AddHealthChecks().AddCheck<Features.Data.SetAsideHealth>("work", tags: [ReadyTag]);
        services.AddSingleton<MetricsRegistry>();
        return services;
    }

    /// <summary>/healthz: the process answers. /readyz: every check tagged "ready" passes. /metrics: Prometheus text.</summary>
    public static void MapPhasekeeperObservability(this IEndpointRouteBuilder app)
    {
        app.MapHealthChecks("/healthz", new HealthCheckOptions { Predicate = _ => false, ResponseWriter = Write }).AllowAnonymous();
        app.MapHealthChecks("/readyz", new HealthCheckOptions { Predicate = check => check.Tags.Contains(ReadyTag), ResponseWriter = Write })
            .AllowAnonymous();
        // Started here, not at the first scrape: counts begin with the process.
        var metrics = app.ServiceProvider.GetRequiredService<MetricsRegistry>();
        app.MapGet("/metrics", () => Results.Text(PrometheusText.Write(metrics.Read()), PrometheusText.ContentType))
            .AllowAnonymous().ExcludeFromDescription();
    }

    private static Task Write(HttpContext context, HealthReport report)
    {
        var sees = Policies.Holds(context.User, Roles.Viewer);
        return context.Response.WriteAsJsonAsync(new
        {
            status = report.Status.ToString().ToLowerInvariant(),
            checks = report.Entries.ToDictionary(entry => entry.Key, entry => new { status = entry.Value.Status.ToString().ToLowerInvariant(), description = Text(entry.Value) }),
        });

        string? Text(HealthReportEntry check) => !check.Data.TryGetValue(Detail, out var detail) ? check.Description : $"{check.Description} {(sees ? detail : "What was found is told to who is signed in.")}";
    }
}
