using Phasekeeper.Core.Limb;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Pipeline.Orbits;

/// <summary>One attitude file as the library holds it.</summary>
/// <param name="FileId">Its id in the store of auxiliary files.</param>
/// <param name="Name">Its name, for pages.</param>
/// <param name="Sha256">Hash of its content, lower-case hex: breaks ties.</param>
/// <param name="CreatedAt">When its maker says it was made; null when it does not say.</param>
/// <param name="Attitude">Its content.</param>
public sealed record AttitudeFile(long FileId, string Name, string Sha256, Instant? CreatedAt, AemAttitude Attitude);

/// <summary>
/// All attitude files of the mission. Where none covers a moment, a mission whose profile says nominal flies nominally (a file tells of an exception, a
/// manoeuvre say); one whose profile names a file has no attitude there: a nominal one would be a guess. So what one moment gets never depends on files
/// about others. Where several cover a moment the same order decides as for orbit files: definitive, later made, smaller hash.
/// </summary>
public sealed class AttitudeLibrary
{
    private readonly AttitudeFile[] files;

    /// <summary>A library of these files, in any order. <paramref name="otherwiseNominal"/>: the profile says that the attitude is nominal.</summary>
    public AttitudeLibrary(IEnumerable<AttitudeFile> files, bool otherwiseNominal)
    {
        this.files = files.OrderBy(f => f.Sha256, StringComparer.Ordinal).ToArray();
        OtherwiseNominal = otherwiseNominal;
    }

    /// <summary>The nominal attitude.</summary>
    public static AttitudeLibrary Nominal { get; } = new([], otherwiseNominal: true);

    /// <summary>True: where no file tells, the attitude is nominal; false: it is not known.</summary>
    public bool OtherwiseNominal { get; }

    /// <summary>Hashes of the files that tell of any part of a stretch, in order.</summary>
    public IEnumerable<string> Over(Instant from, Instant to) => files.Where(f => f.Attitude.Coverage.Any(c => c.Start < to && c.End >= from)).Select(f => f.Sha256);

    /// <summary>Attitude at a moment and the file it came from; false where no file covers it.</summary>
    public bool TryGet(Instant time, out BodyAttitude attitude, out long fileId)
    {
        AttitudeFile? best = null;
        attitude = default;
        foreach (var candidate in files)
        {
            if (best is not null && Compare(candidate, best, time) <= 0) continue;
            if (!candidate.Attitude.TryGetAttitude(time, out var found)) continue;
            best = candidate;
            attitude = found;
        }
        fileId = best?.FileId ?? 0;
        return best is not null;
    }

    private static int Compare(AttitudeFile a, AttitudeFile b, Instant time)
    {
        var definitive = (a.CreatedAt > time).CompareTo(b.CreatedAt > time);
        if (definitive != 0) return definitive;
        var made = Nullable.Compare(a.CreatedAt?.TaiNanoseconds, b.CreatedAt?.TaiNanoseconds);
        return made != 0 ? made : string.CompareOrdinal(b.Sha256, a.Sha256);
    }
}
