namespace Phasekeeper.Core.Coefficients.Fits;

/// <summary>Something about a fit or proposal that a person should weigh.</summary>
/// <param name="Code">Which kind: one of <see cref="FitWarningCodes"/>.</param>
/// <param name="Text">What was found and why it matters, a sentence.</param>
/// <param name="View">View; null = all.</param>
/// <param name="Line">Line; null = all.</param>
public sealed record FitWarning(string Code, string Text, string? View = null, string? Line = null);

/// <summary>Kinds of warnings.</summary>
public static class FitWarningCodes
{
    /// <summary>The window of the fit crosses an event: a change point, a standing flag, a step of the image shift, a gap.</summary>
    public const string CrossesEvent = "crosses-event";
    /// <summary>The window crosses a planned activity.</summary>
    public const string CrossesActivity = "crosses-activity";
    /// <summary>The window crosses a change of the coefficient set in force.</summary>
    public const string CrossesSets = "crosses-sets";
    /// <summary>Too few orbits.</summary>
    public const string FewOrbits = "few-orbits";
    /// <summary>Hardly any range of temperature.</summary>
    public const string LittleRange = "little-temperature-range";
    /// <summary>The change goes against the direction in which ageing has gone.</summary>
    public const string AgainstAgeing = "against-ageing";
    /// <summary>Residuals are larger on the orbits held out.</summary>
    public const string WorseHeldOut = "worse-held-out";
    /// <summary>Scenes or winds move by what the air alone would hide: by how much is known, whether it is better is not.</summary>
    public const string WindsMoved = "winds-moved";
    /// <summary>Measurements that the set in force has are lost with the proposed one.</summary>
    public const string MeasurementsLost = "measurements-lost";
    /// <summary>A part could not be determined and stays as it was.</summary>
    public const string NotDetermined = "not-determined";
    /// <summary>Nothing that is measured here tells whether it is better.</summary>
    public const string NotMeasured = "not-measured";
    /// <summary>No orbit was held out, so nothing speaks about orbits that the fit has not seen.</summary>
    public const string NothingHeldOut = "nothing-held-out";
}
