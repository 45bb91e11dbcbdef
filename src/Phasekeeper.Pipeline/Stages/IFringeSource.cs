using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Time;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Stages;

/// <summary>Where an orbit's fringes come from: the store, or a trial with another coefficient set.</summary>
public interface IFringeSource
{
    /// <summary>Results with from ≤ time &lt; to in order of time, kind, exposure, view, line; of one kind, or all.</summary>
    IReadOnlyList<StoredFringe> Read(Instant from, Instant to, ExposureKind? kind = null);
}

/// <summary>The stored fringes.</summary>
public sealed class StoredFringes(Stores stores) : IFringeSource
{
    /// <inheritdoc/>
    public IReadOnlyList<StoredFringe> Read(Instant from, Instant to, ExposureKind? kind = null) => stores.Fringes.Read(from, to, kind);
}
