using Microsoft.Extensions.Hosting;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.SignOff;

/// <summary>Makes the figures of winds that an earlier version stored without them: once, newest orbits first, after the mission is loaded.</summary>
public sealed class WindFigureFiller(Stores stores, PipelineEngine engine) : BackgroundService
{
    /// <inheritdoc/>
    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        await engine.Ready.WaitAsync(stoppingToken).ConfigureAwait(false);
        await FillAsync(stoppingToken).ConfigureAwait(false);
    }

    /// <summary>Makes all figures that are missing; gives their number.</summary>
    public async Task<int> FillAsync(CancellationToken cancel)
    {
        var missing = stores.WindFigures.Missing();
        foreach (var orbit in missing)
        {
            // Read within the writer's turn: the orbit may be made again at the same time, and then has its figures.
            await stores.Database.WriteAsync(t => WindFigureStore.Fill(t, orbit, stores.Winds.OfOrbit(orbit)), cancel).ConfigureAwait(false);
        }
        return missing.Count;
    }
}
