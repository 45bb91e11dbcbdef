using Phasekeeper.Core.Profile;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Pipeline.SignOff;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Exports;

/// <summary>All winds of one UTC day with what they were made from: what a day's file is written from.</summary>
/// <param name="Date">The UTC day.</param>
/// <param name="Profile">The mission's profile.</param>
/// <param name="Winds">Line-of-sight winds with a time in the day, in order of time, exposure, view, line.</param>
/// <param name="Vectors">Exposures with vectors in the day; vectors of other days left out.</param>
/// <param name="CoefficientSets">Names of coefficient sets by id.</param>
/// <param name="OrbitFiles">SHA-256 of orbit files by id, lower-case hex.</param>
public sealed record WindDay(
    DateOnly Date, MissionProfile Profile, IReadOnlyList<StoredLosWind> Winds, IReadOnlyList<StoredWindVectors> Vectors, IReadOnlyDictionary<long, string> CoefficientSets, IReadOnlyDictionary<long, string> OrbitFiles)
{
    /// <summary>Orbits whose winds people hold, and why.</summary>
    public IReadOnlyDictionary<int, HoldKind> Held { get; init; } = new Dictionary<int, HoldKind>();

    /// <summary>What people said of the days on which the winds' orbits begin, one sentence a day; names are left out, since files travel.</summary>
    public string SignOff { get; init; } = NotSigned;

    /// <summary>What stands where nobody has said anything.</summary>
    public const string NotSigned = "not signed off";

    /// <summary>False for days that no clock of a mission tells: there are no winds of them.</summary>
    public static bool Covers(DateOnly date) => date.Year is >= 1958 and < 2200;

    /// <summary>Reads a day; null when it has no wind.</summary>
    public static WindDay? Read(Stores stores, MissionState mission, DateOnly date)
    {
        ArgumentNullException.ThrowIfNull(stores);
        ArgumentNullException.ThrowIfNull(mission);
        if (!Covers(date)) return null;
        var (from, to) = (Instant.StartOf(date), Instant.StartOf(date.AddDays(1)));
        var winds = stores.Winds.Read(from, to);
        return winds.Count == 0 ? null : new(date, mission.Profile, winds, stores.WindVectors.Read(from, to),
            stores.Coefficients.Names().ToDictionary(c => c.Id, c => c.Name),
            stores.Auxiliary.List().ToDictionary(f => f.Id, f => Convert.ToHexStringLower(f.Sha256)))
        {
            Held = stores.Holds.Held(winds.Min(w => w.Orbit), winds.Max(w => w.Orbit)),
            SignOff = SignOffOf(stores, mission, winds.Select(w => w.Orbit).Distinct()),
        };
    }

    private static string SignOffOf(Stores stores, MissionState mission, IEnumerable<int> orbits)
    {
        var reader = new DayReader(stores);
        var days = orbits.Select(o => mission.Orbits.Of(o)?.Start.UtcDate).OfType<DateOnly>().Distinct().Order();
        return string.Join("; ", days.Select(d => FormattableString.Invariant($"orbits that begin on {d:yyyy-MM-dd}: ") + (reader.Read(mission, d) is { Day.Signed: { } signed } sheet
            ? $"signed off as {signed.Verdict} at {signed.Time}, {(signed.Overruled ? $"overruling the proposal {signed.Proposed}" : "as proposed")}{(sheet.State == "changed" ? "; the day has changed since" : "")}" : NotSigned)));
    }
}
