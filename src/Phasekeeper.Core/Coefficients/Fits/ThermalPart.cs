using System.Globalization;
using Phasekeeper.Core.Statistics;
using Phasekeeper.Core.Thermal;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;

namespace Phasekeeper.Core.Coefficients.Fits;

/// <summary>
/// k, τ and the lamp's reference of each view and line, together from all lamp exposures of the window: <c>φ_opt = k·(T_lag(τ) − T_ref) + c + trend·(t − middle)</c>. c and the trend are always free, for slow ageing is no fault of k; k and τ are free
/// where they are asked for. τ by Gauss–Newton with ∂T_lag/∂τ.
/// <para>
/// The new reference is the lamp's phase at T_ref in the <b>middle of the window</b>: where it is known best, and what the window's orbits are compared with; ageing from there on is c(t), which the lamp goes on measuring. A reference that moves by
/// δ moves the zero of φ_opt by ρ·δ: all Z_r go along by ρ·δ, so that no wind changes. What is wrong with the winds' zero is the zero wind's to tell.
/// </para>
/// </summary>
internal static class ThermalPart
{
    /// <summary>Range of T_lag below which k and τ stay, K: as the slope tracker.</summary>
    public const double LeastSwingK = ThermalFit.LeastSwingK;

    /// <summary>Range of T_lag below which a fit is warned about, K (chosen: at 0.7 rad/K a millirad of scatter that follows the temperature is then 0.15 % of k, half of a laboratory's error).</summary>
    public const double LittleSwingK = 1;

    /// <summary>Orbits from which a trend within the window is told from the orbit's own course (chosen).</summary>
    public const int LeastTrendOrbits = 4;

    /// <summary>Largest σ of τ over τ with which it is taken (chosen: beyond it τ and k trade against each other and a set would carry noise).</summary>
    public const double LargestLagShare = 1.0 / 3;

    private const int LeastPoints = 8; // chosen: twice the unknowns
    private const int MostRounds = 25;

    /// <summary>Fits all views and lines.</summary>
    public static void Fit(FitDraft draft, FitWindow window, IReadOnlySet<FitPart> parts)
    {
        foreach (var channel in window.Channels) Fit(draft, window, channel, parts);
    }

    private static void Fit(FitDraft draft, FitWindow window, OpticalChannel channel, IReadOnlySet<FitPart> parts)
    {
        string view = channel.View, line = channel.Line.Id;
        var lamps = LampOrbit.Of(window, channel);
        var count = lamps.Sum(l => l.Points.Length);
        if (count < LeastPoints)
        {
            draft.NotDetermined($"{count} lamp exposures with a known lagged temperature; at least {LeastPoints} are needed for slope, lag or reference.", view, line);
            return;
        }
        var (slope, lag) = (parts.Contains(FitPart.ThermalSlope), parts.Contains(FitPart.ThermalLag));
        double low = lamps.Min(l => l.Points.Min(p => p.LaggedC.LaggedC)), high = lamps.Max(l => l.Points.Max(p => p.LaggedC.LaggedC));
        if (high - low < LittleSwingK && (slope || lag))
            draft.LittleRange(Text($"The lagged temperature covers {high - low:0.00} K at the lamp exposures; slope and lag want {LittleSwingK:0} K or more."), view, line);
        if (high - low < LeastSwingK && (slope || lag))
        {
            draft.NotDetermined(Text($"Slope and lag stay: the lagged temperature covers {high - low:0.00} K; at least {LeastSwingK:0.0} K are needed."), view, line);
            (slope, lag) = (false, false);
        }
        var law = channel.Optics.Thermal;
        var found = slope || lag || parts.Contains(FitPart.LampReference) ? Solve(lamps, law, slope, lag) : null;
        if (lag && (found is null || found.LagSigmaS > LargestLagShare * found.LagS))
        {
            draft.NotDetermined(found is null
                ? Text($"The lag stays: the fit did not settle within {law.LagS / ThermalLagTracker.SearchFactor:0}…{law.LagS * ThermalLagTracker.SearchFactor:0} s.")
                : Text($"The lag stays: its uncertainty of {found.LagSigmaS:0} s is more than a third of it; a larger swing of temperature or more orbits are needed."), view, line);
            lag = false;
            found = slope || parts.Contains(FitPart.LampReference) ? Solve(lamps, law, slope, false) : null;
        }
        if (found is null)
        {
            if (slope || parts.Contains(FitPart.LampReference)) draft.NotDetermined($"Slope and reference stay: {count} lamp exposures do not determine them.", view, line);
            return;
        }
        Write(draft, channel, found, slope, lag, parts.Contains(FitPart.LampReference));
    }

    private static void Write(FitDraft draft, OpticalChannel channel, Found found, bool slope, bool lag, bool reference)
    {
        string view = channel.View, line = channel.Line.Id;
        var (optics, law) = (channel.Optics, channel.Optics.Thermal);
        if (slope) draft.Add(FitPart.ThermalSlope, "optics.thermal.radPerK", view, line, "rad/K", law.RadPerK, found.RadPerK, found.SlopeSigma, found.Fit);
        if (lag) draft.Add(FitPart.ThermalLag, "optics.thermal.lagS", view, line, "s", law.LagS, found.LagS, found.LagSigmaS, found.Fit);
        draft.Optics(view, line, o => o with { Thermal = law with { RadPerK = found.RadPerK, LagS = found.LagS } });
        if (!reference) return;
        var phase = optics.LampPhaseRad + found.OffsetRad / optics.LampRatio;
        draft.Add(FitPart.LampReference, "optics.lampPhaseRad", view, line, "rad", optics.LampPhaseRad, phase, found.OffsetSigma / Math.Abs(optics.LampRatio), found.Fit);
        draft.Optics(view, line, o => o with { LampPhaseRad = phase });
        ZeroWindPart.Move(draft, FitPart.LampReference, view, line, found.OffsetRad, found.OffsetSigma,
            (found.Fit.Used, found.Fit.Rejected, found.Fit.Weights.Count(c => c.Any(w => w > 0))));
    }

    private sealed record Found(double RadPerK, double SlopeSigma, double LagS, double LagSigmaS, double OffsetRad, double OffsetSigma, ClusteredFit Fit);

    // Null when it does not settle, or τ runs out of the search range.
    private static Found? Solve(IReadOnlyList<LampOrbit> lamps, ThermalLaw law, bool slope, bool lag)
    {
        double k = law.RadPerK, tau = law.LagS;
        if (lag && slope)
        {
            // A slope to start with: without one the lag has no effect to be seen.
            if (Solve(lamps, law, true, false) is not { } first) return null;
            k = first.RadPerK;
        }
        double low = law.LagS / ThermalLagTracker.SearchFactor, high = law.LagS * ThermalLagTracker.SearchFactor, longest = tau;
        for (var round = 0; round < MostRounds; round++)
        {
            longest = Math.Max(longest, tau);
            if (ClusteredRegression.TryFit(Clusters(lamps, law.ReferenceC, k, tau, longest, slope, lag)) is not { } fit) return null;
            var at = 0;
            if (slope) k = fit.Estimate[at++];
            var (slopeSigma, lagSigma) = (slope ? fit.Sigma(0) : 0, 0.0);
            if (lag)
            {
                lagSigma = fit.Sigma(at);
                var next = Math.Clamp(tau + fit.Estimate[at++], Math.Max(low, 0.5 * tau), Math.Min(high, 2 * tau));
                if (next <= low || next >= high) return null;
                var settled = Math.Abs(next - tau) <= 1e-3 * lagSigma;
                tau = next;
                if (!settled) continue;
            }
            return new(k, slopeSigma, tau, lagSigma, fit.Estimate[at], fit.Sigma(at), fit);
        }
        return null;
    }

    // Columns: T_lag − T_ref (k), k·∂T_lag/∂τ (δτ), 1 (c), time from the middle of the window (trend).
    private static PointCluster[] Clusters(IReadOnlyList<LampOrbit> lamps, double referenceC, double k, double lagS, double longestLagS, bool slope, bool lag)
    {
        Instant first = lamps[0].Points[0].Time, last = lamps[^1].Points[^1].Time;
        var half = 0.5 * (last - first);
        var trend = lamps.Count >= LeastTrendOrbits;
        List<PointCluster> clusters = [];
        foreach (var orbit in lamps)
        {
            var (kept, lagged) = orbit.At(lagS, longestLagS);
            if (kept.Length == 0) continue;
            var design = new double[kept.Length][];
            var values = new double[kept.Length];
            for (var i = 0; i < kept.Length; i++)
            {
                var p = orbit.Points[kept[i]];
                var fromReference = lagged[i].LaggedC - referenceC;
                List<double> row = [];
                if (slope) row.Add(fromReference);
                if (lag) row.Add(k * lagged[i].PerLagKPerS);
                row.Add(1);
                if (trend) row.Add((p.Time - first - half) / half);
                design[i] = [.. row];
                values[i] = p.MeasuredRad - (slope ? 0 : k * fromReference);
            }
            double[][] shared = [.. kept.Select(i => kept.Select(j => orbit.Shared[i][j]).ToArray())];
            clusters.Add(new(orbit.Orbit.Input.Orbit, design, values, [.. kept.Select(i => orbit.Points[i].PhotonSigmaRad)], shared));
        }
        return [.. clusters];
    }

    private static string Text(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
