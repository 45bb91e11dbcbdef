using System.Globalization;
using Phasekeeper.Core.Time;
using Phasekeeper.Demo.Scenario;
using Phasekeeper.Pipeline.Assessment;
using Phasekeeper.Storage;

namespace Phasekeeper.Benchmarks;

/// <summary>By which rules an injected event has to be found, and what they measure of it.</summary>
internal static class DiaryExpectation
{
    /// <summary>Ids of the rules; any of them will do.</summary>
    public static IReadOnlyList<string> RulesOf(ScenarioEvent e) => e.Kind switch
    {
        ScenarioEventKind.HeaterStuckOff => ["thermal-residual", "temperature-rate", "channel-limit", "profile-change"],
        ScenarioEventKind.ImageShiftStep => ["image-shift-step"],
        ScenarioEventKind.LampDimming => ["lamp-loss"],
        ScenarioEventKind.LampTest => ["profile-change", "channel-limit"],
        ScenarioEventKind.VisibilityLoss => ["visibility-loss"],
        ScenarioEventKind.LostDownlink => ["data-gap", "incomplete-orbit"],
        ScenarioEventKind.CorruptedPackets => ["undecodable-data"],
        ScenarioEventKind.ClockJump => ["clock-jump"],
        ScenarioEventKind.SpikeStorm => ["spike-storm"],
        ScenarioEventKind.AttitudeOffset => ["phase-residual"],
        // Planned and harmless: nothing has to speak.
        ScenarioEventKind.Manoeuvre => [],
        _ => throw new ArgumentOutOfRangeException(nameof(e), e.Kind, "No rule is named for this kind of event; add it here."),
    };

    /// <summary>The injected amount and what the flags say of it, both with units; empty where no rule measures it.</summary>
    public static (string Injected, string Measured) Compare(ScenarioEvent e, IReadOnlyList<FlagRow> found, Stores stores) => e.Kind switch
    {
        ScenarioEventKind.ImageShiftStep => (Text($"{e.Size} samples"), Join(found, f => Text($"{f.Value:0.0000} ± {StepSigma(f, stores):0.0000} samples"))),
        // The flag tells the whole loss against the reference, the ageing since the scenario's start included.
        ScenarioEventKind.LampDimming => (Text($"{e.Size * 100:0} %, {100 * (1 - (1 - e.Size) * Math.Exp(-e.StartHours / 24 / 900)):0.0} % with the ageing so far"), Join(found, f => Place(f) + Drop(f, stores))),
        ScenarioEventKind.VisibilityLoss => (Text($"{e.Size * 100:0} %"), Join(found, f => Place(f) + Drop(f, stores))),
        ScenarioEventKind.ClockJump => (Text($"{e.Size:0} s"), Join(found, f => Text($"{f.Value:0.0} s"))),
        ScenarioEventKind.SpikeStorm => (Text($"× {e.Size:0}"), Join(found, f => Text($"{Place(f)}{f.Value:0.00} per row, limit {f.Limit:0.00}"))),
        ScenarioEventKind.CorruptedPackets => (Text($"{e.Size * 100:0} % of the packets"), Join(found, f => Text($"{f.Value:0} pieces"))),
        ScenarioEventKind.LostDownlink => (Text($"{e.DurationHours:0.0} h"), Join([.. found.Where(f => f.Rule == "data-gap")], f => Text($"{f.Value:0} {f.Unit}"))),
        _ => ("", Join([.. found.Take(3)], f => Text($"{f.Subject} {f.Value:0.##} {f.Unit}"))),
    };

    private static string Place(FlagRow f) => f.View is null ? "" : $"{f.View}{(f.Line is null ? "" : " " + f.Line)} ";

    private static string Join(IReadOnlyList<FlagRow> flags, Func<FlagRow, string> text) => string.Join("; ", flags.Select(text).Distinct());

    private static string Text(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);

    // The σ of the value on the worst orbit, in percent of the reference as the value is.
    private static string Drop(FlagRow flag, Stores stores)
    {
        var series = FlagJson.Read(flag).Evidence.Series!.Value;
        var worst = stores.Trackers.Values(series, flag.FirstOrbit!.Value, flag.LastOrbit!.Value)
            .MaxBy(r => -r.Value / Reference(r)) ?? throw new InvalidOperationException($"Flag {flag.Id} is about {series}, which has no value on its orbits.");
        return Text($"{flag.Value:0.00} ± {100 * worst.Sigma / Reference(worst):0.00} %");
    }

    private static double Reference(TrackerRow row) => double.IsFinite(row.Expected) && row.Expected != 0 ? row.Expected : 1;

    private static double StepSigma(FlagRow flag, Stores stores) => stores.Orbits.Touching(flag.From, flag.To.AddSeconds(1))
        .SelectMany(o => OrbitFacts.Of(o).Steps).Where(s => s.View == flag.View).Select(s => s.SigmaSamples).DefaultIfEmpty(double.NaN).First();
}
