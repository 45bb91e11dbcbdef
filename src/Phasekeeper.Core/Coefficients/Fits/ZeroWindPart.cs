using System.Globalization;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.ZeroWind;

namespace Phasekeeper.Core.Coefficients.Fits;

/// <summary>
/// Zero-wind phases, moved by what the zero-wind solution claims. A scene's phase is <c>Z + φ_opt + φ_img − κ·w</c> (domain.md section 2), so a set whose Z is too small by δ leaves +δ in the phase and the winds −phase/κ are off by z = −δ/κ:
/// <c>Z_new = Z − κ·z</c>, κ at the mean path difference, the same for all rows of a view and line.
/// </summary>
internal static class ZeroWindPart
{
    private const string Number = "optics.zeroWindRad";

    /// <summary>Moves the phases where the solution stands, and says why where it does not.</summary>
    /// <param name="draft">Where it goes.</param>
    /// <param name="window">The fit's orbits.</param>
    /// <param name="estimates">One a line.</param>
    /// <param name="setChanges">Moments at which another set came into force.</param>
    public static void Fit(FitDraft draft, FitWindow window, IReadOnlyList<ZeroWindEstimate> estimates, IReadOnlyList<Instant> setChanges)
    {
        foreach (var channel in window.Channels)
        {
            string view = channel.View, line = channel.Line.Id;
            if (estimates.FirstOrDefault(e => e.Line == line) is not { } estimate)
            {
                draft.NotDetermined("Zero-wind phases stay: no zero-wind solution is known for this line that stands on winds made with the phases of the set in force.", view, line);
                continue;
            }
            if (estimate.Status != ZeroWindStatus.Claimed)
            {
                draft.NotDetermined($"Zero-wind phases stay: the zero-wind solution cannot tell yet. {string.Join(' ', estimate.Reasons)}", view, line);
                continue;
            }
            var offset = estimate.Offsets.FirstOrDefault(o => o.View == view);
            if (offset.View != view || !double.IsFinite(offset.OffsetMs) || !(offset.SigmaMs > 0))
            {
                draft.NotDetermined("Zero-wind phases stay: the zero-wind solution holds no offset of this view.", view, line);
                continue;
            }
            if (setChanges.Any(t => t > estimate.From && t <= estimate.To))
                draft.Warnings.Add(new(FitWarningCodes.CrossesSets, "The zero-wind solution stands on winds that were made with more than one coefficient set: its offset belongs to none of them alone.", view, line));
            var kappa = channel.Line.KappaAtMeanRadPerMs;
            Move(draft, FitPart.ZeroWind, view, line, -kappa * offset.OffsetMs, kappa * offset.SigmaMs, (estimate.BinsUsed, 0, estimate.Orbits));
        }
    }

    /// <summary>Moves all Z_r of a view and line; a second move of the same numbers adds to the first.</summary>
    public static void Move(FitDraft draft, FitPart part, string view, string line, double byRad, double sigmaRad, (int Points, int Rejected, int Orbits) counts)
    {
        draft.Optics(view, line, o => o with { ZeroWindRad = [.. o.ZeroWindRad.Select(z => z + byRad)] });
        var (before, rows) = (draft.From.OpticsOf(view, line)!.ZeroWindRad, draft.Set.OpticsOf(view, line)!.ZeroWindRad);
        for (var r = 0; r < rows.Length; r++)
        {
            var index = r.ToString(CultureInfo.InvariantCulture);
            var known = draft.Numbers.FindIndex(n => n.Number == Number && n.View == view && n.Line == line && n.Index == index);
            if (known < 0) draft.Numbers.Add(new(part, Number, view, line, index, "rad", before[r], rows[r], sigmaRad, counts.Points, counts.Rejected, counts.Orbits));
            else
            {
                var first = draft.Numbers[known];
                draft.Numbers[known] = first with { Part = part, After = rows[r], Sigma = Math.Sqrt(first.Sigma * first.Sigma + sigmaRad * sigmaRad) };
            }
        }
    }
}
