using System.Collections.Concurrent;
using Phasekeeper.Core.Coefficients.Evidence;
using Phasekeeper.Pipeline.Coefficients.Fits;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Coefficients.Evidence;

/// <summary>Where stored evidence stands: what it rests on, and what has become of that.</summary>
/// <param name="Ground">What it rests on.</param>
/// <param name="Move">What has become of it.</param>
public sealed record EvidenceStanding(EvidenceGround Ground, GroundMove Move);

/// <summary>Evidence that was read; documents never change, so each is read once.</summary>
internal sealed class EvidenceShelf(Stores stores)
{
    // Chosen: more proposals than that are not open at once; what falls off is read again.
    private const int Most = 50;
    private readonly ConcurrentDictionary<long, (ProposalEvidence? Evidence, FitDocument? Fit)> known = [];

    /// <summary>The newest evidence of a set; null without any that can be read.</summary>
    public ProposalEvidence? Newest(long setId) => stores.Coefficients.Head(setId)?.EvidenceId is { } id ? Of(setId, id).Evidence : null;

    /// <summary>Where evidence stands; null where it does not say what it rests on.</summary>
    public EvidenceStanding? Standing(long setId, long id, MissionState mission)
    {
        var (evidence, fit) = Of(setId, id);
        return evidence?.Ground is not { } ground ? null : new(ground, Grounds.Since(ground, EvidenceOrbits.Of(fit, ground.From, mission, stores).All, mission, stores));
    }

    private (ProposalEvidence? Evidence, FitDocument? Fit) Of(long setId, long id)
    {
        if (known.TryGetValue(id, out var read)) return read;
        if (known.Count >= Most) known.Clear();
        // Residuals and winds are what pages show; here they would only take memory.
        var evidence = stores.Coefficients.EvidenceById(id) is { } row && row.SetId == setId ? EvidenceJson.Read(row.Document) : null;
        return known[id] = (evidence is null ? null : evidence with { Residuals = [], ResidualOrbits = [], WindsByView = [], WindsByAltitude = [], WindsByLatitude = [] },
            stores.Coefficients.Fit(setId) is { } text ? FitDocument.Read(text) : null);
    }
}
