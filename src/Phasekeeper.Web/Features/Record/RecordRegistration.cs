using Phasekeeper.Web.Observability;

namespace Phasekeeper.Web.Features.Record;

/// <summary>What the feature registers.</summary>
public static class RecordRegistration
{
    /// <summary>The watch over the record, and its part of /readyz.</summary>
    public static IServiceCollection AddPhasekeeperRecord(this IServiceCollection services)
    {
        services.AddSingleton<RecordWatch>();
        services.AddHostedService(s => s.GetRequiredService<RecordWatch>());
        services.AddHealthChecks().AddCheck<RecordHealth>("record", tags: [ObservabilityRegistration.ReadyTag]);
        return services;
    }
}
