using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.ZeroWind;

/// <summary>The version of the zero wind: estimates are kept by day and carry no fingerprint that would tell of a change.</summary>
internal static class ZeroWindVersionMarks
{
    /// <summary>To be raised whenever an estimate, its uncertainty or what it claims may come out otherwise from the same winds (Core/ZeroWind). Winds that are made again mark their days anyway.</summary>
    public const string Version = "zeroWind/1";

    internal const string Key = "zero-wind-version";

    /// <summary>Marks the days whose estimates another version made; nothing where it is the same.</summary>
    public static Task MarkAsync(Stores stores, TimeProvider clock, CancellationToken cancel) =>
        VersionMarks.MarkAsync(stores, clock, Key, Version, "zero wind", _ => WorkKinds.ZeroWind, cancel, orbits => orbits.Select(o => o.Start.ToUnixDay().UnixDay));
}
