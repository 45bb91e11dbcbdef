using Phasekeeper.Core.Profile;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Exports;

/// <summary>All winds of one UTC day with what they were made from: what a day's file is written from.</summary>
/// <param name="Date">The UTC day.</param>
/// <param name="Profile">The mission's profile.</param>
/// <param name="Winds">Line-of-sight winds with a time in the day, in order of time, exposure, view, line.</param>
/// <param name="Vectors">Exposures with vectors in the day; vectors of other days left out.</param>
/// <param name="CoefficientSets">Names of coefficient sets by id.</param>
/// <param name="OrbitFiles">Names of orbit files by id, with the first 12 digits of their SHA-256.</param>
public sealed record WindDay(
    DateOnly Date, MissionProfile Profile, IReadOnlyList<StoredLosWind> Winds, IReadOnlyList<StoredWindVectors> Vectors, IReadOnlyDictionary<long, string> CoefficientSets, IReadOnlyDictionary<long, string> OrbitFiles)
{
    /// <summary>Reads a day; null when it has no wind.</summary>
    public static WindDay? Read(Stores stores, MissionState mission, DateOnly date)
    {
        ArgumentNullException.ThrowIfNull(stores);
        ArgumentNullException.ThrowIfNull(mission);
        var (from, to) = (Instant.StartOf(date), Instant.StartOf(date.AddDays(1)));
        var winds = stores.Winds.Read(from, to);
        return winds.Count == 0 ? null : new(date, mission.Profile, winds, stores.WindVectors.Read(from, to),
            stores.Coefficients.All().ToDictionary(c => c.Id, c => c.Name),
            stores.Auxiliary.List().ToDictionary(f => f.Id, f => $"{f.Name} (sha256 {Convert.ToHexStringLower(f.Sha256)[..12]})"));
    }
}
