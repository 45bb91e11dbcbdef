using Phasekeeper.Core.Flags.Grouping;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Assessment;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.Flags;

/// <summary>Groups of flags, the same wherever they are asked for: a list or page groups what it shows together with what began around it.</summary>
public sealed class FlagGroups(Stores stores)
{
    // Chosen: a cause that began longer ago than this is no longer looked for; what begins up to a day later can still follow.
    private const double LookBackS = 30 * 86_400, LookAheadS = 86_400;

    // Chosen: months of flags; more would be read for nothing.
    private const int Most = 5000;

    /// <summary>Groups of the standing flags that begin in [from, to), with what began up to 30 days before.</summary>
    public IReadOnlyList<FlagGroup> Between(MissionState mission, Instant from, Instant to)
    {
        var flags = stores.Flags.Beginning(Earlier(from), to, Most);
        var within = flags.Where(f => f.From >= from).Select(f => f.Id).ToHashSet(StringComparer.Ordinal);
        return [.. FlagGrouping.Of(flags, mission).Where(g => g.Members.Any(m => within.Contains(m.Id)))];
    }

    /// <summary>Groups of some flags, with the standing flags around them. A flag of the list is in exactly one.</summary>
    public IReadOnlyList<FlagGroup> Around(MissionState mission, IReadOnlyCollection<FlagRow> flags)
    {
        if (flags.Count == 0) return [];
        var wanted = flags.Select(f => f.Id).ToHashSet(StringComparer.Ordinal);
        var around = stores.Flags.Beginning(Earlier(flags.Min(f => f.From)), flags.Max(f => f.From).AddSeconds(LookAheadS), Most);
        return [.. FlagGrouping.Of(around.Where(f => !wanted.Contains(f.Id)).Concat(flags), mission).Where(g => g.Members.Any(m => wanted.Contains(m.Id)))];
    }

    private static Instant Earlier(Instant from) => from.TaiNanoseconds < Instant.MinValue.TaiNanoseconds / 2 ? from : from.AddSeconds(-LookBackS);
}
