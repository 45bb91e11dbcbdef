using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using Phasekeeper.Storage;
using Phasekeeper.Web.Shared.Numbers;

namespace Phasekeeper.Web.Features.Reports;

/// <summary>Of which versions of the data a report is made: the same ground gives the same report but for the words of flags that go on after its end; another one means that it was made before later data.</summary>
/// <param name="Hash">Hash of all versions.</param>
/// <param name="Versions">The same in words.</param>
public sealed record ReportGround(string Hash, string Versions)
{
    // Chosen: a week of the worst mission has fewer; what is beyond would not be read on paper.
    internal const int MostFlags = 1000;

    /// <summary>The ground as it is now.</summary>
    public static ReportGround Of(Stores stores, ReportSpan span)
    {
        ArgumentNullException.ThrowIfNull(stores);
        ArgumentNullException.ThrowIfNull(span);
        var orbits = stores.Orbits.Touching(span.From, span.To);
        return Of(stores, span, orbits, TrackersOf(stores, orbits));
    }

    /// <summary>What the trackers say of a report's orbits.</summary>
    internal static IReadOnlyList<TrackerReading> TrackersOf(Stores stores, IReadOnlyList<OrbitRow> orbits) => orbits.Count == 0 ? [] : stores.Trackers.OfInstrument(orbits[0].Orbit, orbits[^1].Orbit);

    /// <summary>As <see cref="Of(Stores, ReportSpan)"/>, of orbits that touch the span and their trackers as they were read.</summary>
    internal static ReportGround Of(Stores stores, ReportSpan span, IReadOnlyList<OrbitRow> orbits, IReadOnlyList<TrackerReading> trackers)
    {
        var flags = stores.Flags.List(span.From, span.To, MostFlags).Items;
        var notes = stores.Annotations.Touching(span.From, span.To, MostFlags);
        var text = new StringBuilder();
        foreach (var o in orbits)
            text.Append(CultureInfo.InvariantCulture, $"o {o.Orbit} {o.ReceivedExposures} {o.ReceivedRows} {o.ExpectedRows} {o.Verdict} {o.Provisional} {o.CoefficientSet} {o.EphemerisFile} {o.SoftwareVersion} {o.VerdictReasons}\n");
        foreach (var o in orbits)
            foreach (var hash in stores.Winds.HashesOfOrbit(o.Orbit)) text.Append(CultureInfo.InvariantCulture, $"v {o.Orbit} {Convert.ToHexStringLower(hash)}\n");
        // Of a flag that goes on, what comes after the end is no news of these days: else every report would be one of before with each new orbit.
        foreach (var f in flags) text.Append(CultureInfo.InvariantCulture, $"f {f.Id} {f.State} {f.Severity} {f.Holder} {f.Cause} {f.ExplainedBy} {(f.To < span.To ? f.To : span.To)}\n");
        if (orbits.Count > 0)
            foreach (var (orbit, kind) in stores.Holds.Held(orbits[0].Orbit, orbits[^1].Orbit).OrderBy(h => h.Key)) text.Append(CultureInfo.InvariantCulture, $"h {orbit} {kind}\n");
        foreach (var s in stores.SignOffs.Between(span.FirstDay, span.LastDay).Values) text.Append(CultureInfo.InvariantCulture, $"s {s.Id}\n");
        foreach (var h in stores.HandOvers.Of(span.FirstDay, span.LastDay, span.From, span.To)) text.Append(CultureInfo.InvariantCulture, $"w {h.Id}\n");
        foreach (var a in stores.Activities.Versions().Where(a => a.From < span.To && a.To > span.From)) text.Append(CultureInfo.InvariantCulture, $"a {a.Id}\n");
        foreach (var n in notes) text.Append(CultureInfo.InvariantCulture, $"n {n.Id}\n");
        foreach (var t in trackers)
            text.Append(CultureInfo.InvariantCulture, $"t {t.Key} {t.Orbit} {t.Value:R} {t.State}\n");
        return new(Digest(text), Words([.. orbits.Where(o => o.Start >= span.From)], flags.Count));
    }

    private static string Digest(StringBuilder text) => Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(text.ToString())))[..32];

    private static string Words(IReadOnlyList<OrbitRow> orbits, int flags)
    {
        if (orbits.Count == 0) return "no orbit";
        string[] sets = [.. orbits.Select(o => o.CoefficientSet).OfType<long>().Distinct().Order().Select(id => id.ToString(CultureInfo.InvariantCulture))];
        string[] programs = [.. orbits.Select(o => o.SoftwareVersion).Where(v => v.Length > 0).Distinct().Order(StringComparer.Ordinal)];
        return string.Create(CultureInfo.InvariantCulture, $"{(orbits.Count == 1 ? $"orbit {orbits[0].Orbit}" : $"orbits {orbits[0].Orbit} to {orbits[^1].Orbit}")}, {NumberText.Whole(orbits.Sum(o => (long)o.ReceivedRows))} rows, {(flags == 1 ? "1 flag" : $"{flags} flags")}, ")
            + (sets.Length == 0 ? "no coefficient set" : "coefficient set " + string.Join(", ", sets)) + (programs.Length == 0 ? "" : ", program " + string.Join(", ", programs));
    }
}
