using Phasekeeper.Core.Orbits;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Pipeline.Orbits;

/// <summary>One orbit file as the library holds it.</summary>
/// <param name="FileId">Its id in the store of auxiliary files.</param>
/// <param name="Name">Its name, for pages.</param>
/// <param name="Sha256">Hash of its content, lower-case hex: identifies it in products and breaks ties.</param>
/// <param name="CreatedAt">When its maker says it was made; null when it does not say.</param>
/// <param name="Ephemeris">Its content.</param>
public sealed record EphemerisFile(long FileId, string Name, string Sha256, Instant? CreatedAt, OutlinedEphemeris Ephemeris);

/// <summary>
/// All orbit files of the mission; for any moment it gives the state from the best of them. The choice depends on the files alone,
/// never on the order in which they came:
/// 1. a file made after the moment (definitive there) beats one made before it (a prediction) or without a date;
/// 2. tabulated states (OEM) beat mean elements;
/// 3. the file made later beats the older one;
/// 4. the smaller content hash decides what is left.
/// No file is used beyond its own span.
/// </summary>
public sealed class EphemerisLibrary
{
    private readonly EphemerisFile[] files;

    /// <summary>A library of these files, in any order.</summary>
    public EphemerisLibrary(IEnumerable<EphemerisFile> files) =>
        this.files = files.OrderBy(f => f.Sha256, StringComparer.Ordinal).ToArray();

    /// <summary>A library without files.</summary>
    public static EphemerisLibrary Empty { get; } = new([]);

    /// <summary>The files, ordered by content hash.</summary>
    public IReadOnlyList<EphemerisFile> Files => files;

    /// <summary>State at a moment and the file it came from; false where no file covers it.</summary>
    public bool TryGetState(Instant time, out OrbitState state, out EphemerisFile file)
    {
        EphemerisFile? best = null;
        state = default;
        foreach (var candidate in files)
        {
            if (time < candidate.Ephemeris.Start || time > candidate.Ephemeris.End) continue;
            if (best is not null && Compare(candidate, best, time) <= 0) continue;
            if (!candidate.Ephemeris.TryGetState(time, out var s)) continue;
            best = candidate;
            state = s;
        }
        file = best!;
        return best is not null;
    }

    /// <summary>Positive when <paramref name="a"/> is the better file for the moment.</summary>
    private static int Compare(EphemerisFile a, EphemerisFile b, Instant time)
    {
        var definitive = Definitive(a, time).CompareTo(Definitive(b, time));
        if (definitive != 0) return definitive;
        var kind = (b.Ephemeris.Kind == EphemerisKind.MeanElements).CompareTo(a.Ephemeris.Kind == EphemerisKind.MeanElements);
        if (kind != 0) return kind;
        var made = Nullable.Compare(a.CreatedAt?.TaiNanoseconds, b.CreatedAt?.TaiNanoseconds);
        return made != 0 ? made : string.CompareOrdinal(b.Sha256, a.Sha256);
    }

    private static bool Definitive(EphemerisFile file, Instant time) => file.CreatedAt is { } made && made > time;
}
