using System.Globalization;
using System.Security.Cryptography;
using Phasekeeper.Core.Coefficients.Evidence;
using Phasekeeper.Core.Coefficients.Fits;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Coefficients.Evidence;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Coefficients.Fits;

/// <summary>Fits coefficients on a window of orbits: to look at, or to propose.</summary>
public sealed class FitDesk(Stores stores, PipelineEngine engine, CoefficientDesk desk, EvidenceBoard evidence) : IDisposable
{
    // One at a time: a fit takes one processor and the orbits' memory.
    private readonly SemaphoreSlim working = new(1);

    // Chosen: some people try some fits each; a trial is a set with its flats, some megabytes.
    private const int MostKept = 12;
    private readonly Lock gate = new();
    private readonly List<FitTrial> kept = [];

    private MissionState Mission => engine.Mission ?? throw new DecisionRefusedException(RefusalKind.Conflict, "The mission is being opened; try again in a moment.");

    /// <summary>Fits and stores nothing.</summary>
    /// <exception cref="DecisionRefusedException">There is nothing to fit, or too much.</exception>
    public async Task<FitTrial> TryAsync(FitRequest request, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(request);
        var mission = Mission;
        await working.WaitAsync(cancel).ConfigureAwait(false);
        try
        {
            var trial = await Task.Run(() =>
            {
                // Before anything is read: what changes meanwhile has moved the ground.
                var ground = Ground(request, mission);
                return FitRun.Run(request, mission, stores, cancel) with { Id = Convert.ToHexStringLower(RandomNumberGenerator.GetBytes(8)), Request = request, Ground = ground };
            }, cancel).ConfigureAwait(false);
            lock (gate)
            {
                if (kept.Count == MostKept) kept.RemoveAt(0);
                kept.Add(trial);
            }
            return trial;
        }
        finally
        {
            working.Release();
        }
    }

    /// <summary>A trial that the program still keeps; null for one that it does not: the last dozen since its start.</summary>
    public FitTrial? Tried(string id)
    {
        lock (gate) return kept.Find(t => t.Id == id);
    }

    /// <summary>What has moved since a fit was tried, a sentence; null where it would come out as it did.</summary>
    public string? Moved(FitTrial trial)
    {
        ArgumentNullException.ThrowIfNull(trial);
        if (trial is not { Request: { } request, Ground: { } then }) throw new ArgumentException("Found a trial that does not say what it rests on; expected one of TryAsync.", nameof(trial));
        var mission = Mission;
        var window = FitWindow.Of(request, mission, stores);
        if (window.From.SetId != then.Against)
            return string.Create(CultureInfo.InvariantCulture, $"Since this fit was tried, set {window.From.SetId} came into force in place of set {then.Against}, from which it began.");
        var move = Grounds.Since(then, window.All, mission, stores);
        return move.HasMoved || move.MoreOrbits > 0 ? $"Since this fit was tried, {move.Words}." : null;
    }

    private EvidenceGround Ground(FitRequest request, MissionState mission)
    {
        var window = FitWindow.Of(request, mission, stores);
        OrbitSlot[] all = [.. window.All];
        return Grounds.Of(all, all[0].Start, all[0].Number, window.From.SetId, Grounds.LookBackS(window.From.Set), mission, stores);
    }

    /// <summary>Proposes a fit with the numbers that were tried; gives the set's id. Its evidence follows in the background.</summary>
    /// <param name="trial">The trial (<see cref="TryAsync"/>).</param>
    /// <param name="name">Name of the set.</param>
    /// <param name="fromOrbit">Orbit from which it is to be valid; null: the first of the window.</param>
    /// <param name="reason">Why.</param>
    /// <param name="actor">Who proposes.</param>
    /// <param name="cancel">Gives up.</param>
    /// <exception cref="DecisionRefusedException">What it rests on has moved, or it cannot be proposed.</exception>
    public async Task<long> ProposeTriedAsync(FitTrial trial, string name, int? fromOrbit, string reason, Actor actor, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(trial);
        CheckWords(name, reason);
        if (Moved(trial) is { } moved) throw new DecisionRefusedException(RefusalKind.Conflict, $"{moved} Try it again, and propose what comes out.");
        return await ProposeAsync(trial.Request!, trial, name.Trim(), Start(fromOrbit ?? trial.Request!.FirstOrbit), reason, CoefficientSource.Fit, [], actor, cancel).ConfigureAwait(false);
    }

    /// <summary>Fits and proposes the set; gives its id. Its evidence follows in the background.</summary>
    /// <param name="request">What is fitted on which orbits.</param>
    /// <param name="name">Name of the set.</param>
    /// <param name="fromOrbit">Orbit from which it is to be valid; null: the first of the window.</param>
    /// <param name="reason">Why.</param>
    /// <param name="actor">Who proposes.</param>
    /// <param name="cancel">Gives up.</param>
    /// <exception cref="DecisionRefusedException">There is nothing to fit, or too much, or it cannot be proposed.</exception>
    public async Task<long> ProposeAsync(FitRequest request, string name, int? fromOrbit, string reason, Actor actor, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(request);
        // What is known to be refused is refused before anything is computed.
        CheckWords(name, reason);
        var start = Start(fromOrbit ?? request.FirstOrbit);
        return await ProposeAsync(request, await TryAsync(request, cancel).ConfigureAwait(false), name.Trim(), start, reason, CoefficientSource.Fit, [], actor, cancel).ConfigureAwait(false);
    }

    /// <summary>Proposes a fit that was computed. <paramref name="chosen"/>: how it was chosen among several, a sentence with a leading space for its basis.</summary>
    internal async Task<long> ProposeAsync(FitRequest request, FitTrial trial, string name, Instant start, string reason, string source, IReadOnlyList<DriftGround> drift, Actor actor, CancellationToken cancel, string chosen = "")
    {
        if (trial.Result.Numbers.Count == 0 && trial.Result.NewBadSamples.Count == 0)
            throw new DecisionRefusedException(RefusalKind.Invalid, $"The fit determined no number, so there is nothing to propose: {string.Join(" ", trial.Result.Warnings.Select(w => w.Text))}");
        var id = await desk.ProposeAsync(new()
        {
            Set = trial.Result.Set with { Name = name, ValidFrom = start },
            Reason = reason,
            Source = source,
            Basis = Basis(request, trial) + chosen,
            Fit = FitDocument.Of(request, trial) with { Drift = drift },
        }, actor, cancel).ConfigureAwait(false);
        evidence.Ask(id);
        return id;
    }

    private void CheckWords(string name, string reason)
    {
        if (string.IsNullOrWhiteSpace(name)) throw new DecisionRefusedException(RefusalKind.Invalid, "Found no name; expected one that no other set has: people and files tell sets by it.");
        if (string.IsNullOrWhiteSpace(reason)) throw new DecisionRefusedException(RefusalKind.Invalid, "Found no reason; expected some words on why: they are kept for good.");
        if (stores.Coefficients.Names().FirstOrDefault(s => s.Name == name.Trim()) is { Id: > 0 } same)
            throw new DecisionRefusedException(RefusalKind.Conflict, $"Set number {same.Id} is named '{same.Name}' too; expected a name of its own: people and files tell sets by it.");
    }

    /// <summary>The start of an orbit from which a set can be valid.</summary>
    internal Instant Start(int orbit) => Mission.Orbits.Of(orbit)?.Start
        ?? throw new DecisionRefusedException(RefusalKind.Invalid, string.Create(CultureInfo.InvariantCulture, $"Found the orbit {orbit}, which no orbit file tells of; expected one that is known."));

    private static string Basis(FitRequest request, FitTrial trial) => string.Create(CultureInfo.InvariantCulture,
        $"Robust fit of {string.Join(", ", request.Parts.Distinct().Order().Select(Words))} on {Count(trial.Fitted.Count, "orbit")} between {trial.Fitted[0]} and {trial.Fitted[^1]}, {(trial.HeldOut.Count + trial.HeldOutLater.Count == 0 ? "none held out" : $"{trial.HeldOut.Count} held out among them and {trial.HeldOutLater.Count} after them")}, beginning from set {trial.From} '{trial.FromName}'.");

    private static string Count(int n, string noun) => n == 1 ? $"1 {noun}" : string.Create(CultureInfo.InvariantCulture, $"{n} {noun}s");

    private static string Words(FitPart part) => part switch
    {
        FitPart.ThermalSlope => "thermal slopes",
        FitPart.ThermalLag => "thermal lags",
        FitPart.LampReference => "lamp reference phases",
        FitPart.ImageShift => "image-shift laws",
        FitPart.Dark => "the dark law",
        FitPart.ZeroWind => "zero-wind phases",
        FitPart.Visibility => "reference visibilities and lamp brightness",
        _ => "bad samples",
    };

    /// <inheritdoc/>
    public void Dispose() => working.Dispose();
}
