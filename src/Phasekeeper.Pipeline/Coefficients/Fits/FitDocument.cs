using System.Text.Json;
using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Coefficients.Fits;
using Phasekeeper.Pipeline.Coefficients.Evidence;

namespace Phasekeeper.Pipeline.Coefficients.Fits;

/// <summary>A series whose charts had left their limits when the program proposed a set.</summary>
/// <param name="Tracker">Tracker id.</param>
/// <param name="View">View; null where it does not apply.</param>
/// <param name="Line">Line; null where it does not apply.</param>
/// <param name="Unit">The tracker's unit.</param>
/// <param name="Departure">Running mean minus what the set in force expects, in the tracker's unit.</param>
/// <param name="Sigmas">The same in σ of the running mean.</param>
/// <param name="SinceOrbit">First orbit beyond the limits.</param>
public sealed record DriftGround(string Tracker, string? View, string? Line, string Unit, double Departure, double Sigmas, int SinceOrbit);

/// <summary>What a fit said when its set was proposed; kept with the set for good, while evidence may be computed again.</summary>
public sealed record FitDocument
{
    /// <summary>What was fitted on which orbits.</summary>
    public required FitRequest Request { get; init; }
    /// <summary>The set that the fit began from: id.</summary>
    public required long From { get; init; }
    /// <summary>Orbits that were fitted, ascending.</summary>
    public required IReadOnlyList<int> Fitted { get; init; }
    /// <summary>Orbits of the window that were held out among them, ascending.</summary>
    public required IReadOnlyList<int> HeldOut { get; init; }
    /// <summary>Orbits of the window that were held out and are later than all that were fitted, ascending; empty for fits made before these were held out.</summary>
    public IReadOnlyList<int> HeldOutLater { get; init; } = [];
    /// <summary>Fitted numbers with their σ.</summary>
    public required IReadOnlyList<FittedNumber> Numbers { get; init; }
    /// <summary>Samples added to the map of bad samples.</summary>
    public IReadOnlyList<BadSample> NewBadSamples { get; init; } = [];
    /// <summary>What to weigh.</summary>
    public IReadOnlyList<FitWarning> Warnings { get; init; } = [];
    /// <summary>The drift for which the program proposed the set; empty for one that a person asked for.</summary>
    public IReadOnlyList<DriftGround> Drift { get; init; } = [];

    /// <summary>The document of a fit.</summary>
    public static FitDocument Of(FitRequest request, FitTrial trial)
    {
        ArgumentNullException.ThrowIfNull(trial);
        return new()
        {
            Request = request,
            From = trial.From,
            Fitted = trial.Fitted,
            HeldOut = trial.HeldOut,
            HeldOutLater = trial.HeldOutLater,
            Numbers = trial.Result.Numbers,
            NewBadSamples = trial.Result.NewBadSamples,
            Warnings = trial.Result.Warnings,
        };
    }

    /// <summary>The stored text.</summary>
    public string ToJson() => JsonSerializer.Serialize(this, EvidenceJson.Options);

    /// <summary>The document of a stored text.</summary>
    public static FitDocument Read(string text) => JsonSerializer.Deserialize<FitDocument>(text, EvidenceJson.Options)
        ?? throw new InvalidOperationException("The stored document of a fit is empty; expected an object.");
}
