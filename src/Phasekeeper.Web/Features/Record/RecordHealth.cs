using Microsoft.Extensions.Diagnostics.HealthChecks;
using Phasekeeper.Storage;
using Phasekeeper.Web.Observability;

namespace Phasekeeper.Web.Features.Record;

/// <summary>The record's part of /readyz: degraded (which still answers 200, since the program works on) while it is broken.</summary>
public sealed class RecordHealth(RecordWatch watch) : IHealthCheck
{
    /// <inheritdoc/>
    public Task<HealthCheckResult> CheckHealthAsync(HealthCheckContext context, CancellationToken cancellationToken = default) => Task.FromResult(watch.Report switch
    {
        null => HealthCheckResult.Healthy("The record of decisions is being verified."),
        { IsWhole: true } whole => HealthCheckResult.Healthy($"The record of decisions is whole: {whole.Entries} entries, verified {whole.Checked}."),
        var broken => HealthCheckResult.Degraded($"The record of decisions is broken: {broken.Findings.Count} findings.", data: new Dictionary<string, object>
        {
            // It names people and folders.
            [ObservabilityRegistration.Detail] = $"{string.Join(' ', broken.Findings)} {RecordReport.Advice}",
        }),
    });
}
