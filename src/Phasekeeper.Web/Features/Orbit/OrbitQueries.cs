using Phasekeeper.Core.Trackers;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.Orbit;

/// <summary>What the page says of an orbit besides its plots.</summary>
/// <param name="Number">Orbit (or day) number.</param>
/// <param name="Slot">Its limits; null when the mission does not know it.</param>
/// <param name="Row">What is stored of it; null when nothing arrived.</param>
/// <param name="Flags">Flags that touch it, standing ones first.</param>
/// <param name="Exposures">Its exposures in order of time.</param>
/// <param name="Views">View ids.</param>
/// <param name="Lines">Line ids.</param>
/// <param name="Rows">Detector rows; 0 without an instrument.</param>
/// <param name="SetName">Coefficient set in force; null for none.</param>
/// <param name="Previous">The orbit before with data; null for none.</param>
/// <param name="Next">The next one with data.</param>
/// <param name="Newest">The newest one with data.</param>
/// <param name="Held">Whether and why people hold its winds.</param>
public sealed record OrbitView(
    int Number, OrbitSlot? Slot, OrbitRow? Row, IReadOnlyList<FlagRow> Flags, IReadOnlyList<OrbitExposure> Exposures, IReadOnlyList<string> Views, IReadOnlyList<string> Lines, int Rows,
    string? SetName, int? Previous, int? Next, int? Newest, HoldKind Held = HoldKind.None);

/// <summary>What the orbit page reads.</summary>
public sealed class OrbitQueries(Stores stores, OrbitCache cache)
{
    // Chosen: a pause in the data longer than this is crossed by typing a number.
    private const double SearchS = 40 * 86_400.0;

    /// <summary>An orbit; the newest with data when <paramref name="number"/> is null. Null before the first data.</summary>
    public OrbitView? Read(MissionState mission, int? number)
    {
        var newest = stores.Orbits.Newest(1) is [var last] ? last.Orbit : (int?)null;
        if ((number ?? newest) is not { } wanted) return null;
        var row = stores.Orbits.Get(wanted);
        var slot = mission.Orbits.Of(wanted);
        var contents = row is null ? null : cache.Get(wanted);
        IReadOnlyList<OrbitExposure> exposures = [];
        if (contents is not null)
            lock (contents.Gate) exposures = contents.Exposures();
        return new OrbitView(wanted, slot, row,
            [.. stores.Flags.OfOrbits(wanted, wanted).OrderBy(f => f.State == "withdrawn").ThenBy(f => f.Severity switch { "critical" => 0, "warning" => 1, _ => 2 }).ThenBy(f => f.From)],
            exposures, [.. mission.Instrument?.Views.Select(v => v.Id) ?? []], [.. mission.Instrument?.Lines.Select(l => l.Id) ?? []], mission.Instrument?.Rows ?? 0,
            slot is { } s ? mission.Coefficients.At(s.Start)?.Set.Name : null, Beside(slot, -1), Beside(slot, +1), newest, stores.Holds.Held(wanted, wanted).GetValueOrDefault(wanted));
    }

    private int? Beside(OrbitSlot? slot, int direction)
    {
        if (slot is not { } s) return null;
        if (direction < 0) return stores.Orbits.Touching(s.Start.AddSeconds(-SearchS), s.Start).LastOrDefault(o => o.Orbit < s.Number)?.Orbit;
        return stores.Orbits.Touching(s.End, s.End.AddSeconds(SearchS)).FirstOrDefault(o => o.Orbit > s.Number)?.Orbit;
    }
}
