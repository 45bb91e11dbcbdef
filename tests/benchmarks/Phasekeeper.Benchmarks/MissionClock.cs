using Phasekeeper.Core.Time;

namespace Phasekeeper.Benchmarks;

/// <summary>A clock that stands where it is put.</summary>
internal sealed class MissionClock : TimeProvider
{
    public Instant Now { get; set; }

    public override DateTimeOffset GetUtcNow() => new(Now.ToDateTimeUtc(), TimeSpan.Zero);
}
