using Microsoft.Extensions.Diagnostics.HealthChecks;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Storage;
using Phasekeeper.Web.Observability;

namespace Phasekeeper.Web.Features.Data;

/// <summary>The work's part of /readyz: degraded (which still answers 200, since the rest goes on) while units are set aside after a failure.</summary>
public sealed class SetAsideHealth(Stores stores) : IHealthCheck
{
    private const int MostTold = 5;

    /// <inheritdoc/>
    public Task<HealthCheckResult> CheckHealthAsync(HealthCheckContext context, CancellationToken cancellationToken = default)
    {
        var aside = stores.Work.Aside();
        return Task.FromResult(aside.Count == 0 ? HealthCheckResult.Healthy("No work is set aside.") : HealthCheckResult.Degraded($"{aside.Count} units of work failed and are set aside; the rest goes on.", data: new Dictionary<string, object>
        {
            [ObservabilityRegistration.Detail] = $"{string.Join(' ', aside.Take(MostTold).Select(w => $"{SetAside.Place(w.Item)}: {w.Error}"))} {SetAside.Advice}",
        }));
    }
}
