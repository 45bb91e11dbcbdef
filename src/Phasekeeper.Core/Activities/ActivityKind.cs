namespace Phasekeeper.Core.Activities;

/// <summary>Kinds of planned activities.</summary>
public enum ActivityKind
{
    /// <summary>Orbit or attitude manoeuvre.</summary>
    Manoeuvre,
    /// <summary>Calibration lamp run outside its routine.</summary>
    LampTest,
    /// <summary>Turn about the vertical.</summary>
    YawTurn,
    /// <summary>Warming the detector or optics to drive off contamination.</summary>
    BakeOut,
    /// <summary>Anything else.</summary>
    Other,
}
