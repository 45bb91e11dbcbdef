namespace Phasekeeper.Core.SignOff;

/// <summary>The limits of the proposed verdict, all in one place. Everything here is chosen; a person confirms or overrules what comes of it.</summary>
public static class SignOffLimits
{
    /// <summary>Less than this share of the expected rows: remarks. Chosen: the share below which a single orbit is called incomplete.</summary>
    public const double CompleteShare = 0.95;

    /// <summary>Less than this share: held. Chosen: with a fifth of the day gone, a day's mean no longer stands for the day.</summary>
    public const double LeastShare = 0.80;

    /// <summary>A stretch without packets of at least this, s: remarks. Chosen: the lamp comes every 480 s, so that two lamp exposures are lost and the drift is carried by the model alone.</summary>
    public const double LongestGapS = 960;

    /// <summary>At least this share of the orbits with a critical residual: held. Chosen: one bad orbit can be held by itself, a quarter of the day is the day.</summary>
    public const double CriticalOrbitShare = 0.25;

    /// <summary>Share of good winds lower than usual by more than this: remarks. Chosen: twice the scatter of the share from day to day of the demo's quiet days.</summary>
    public const double GoodShareRemarks = 0.10;

    /// <summary>Share of good winds lower than usual by more than this: held. Chosen: what is left is no fair sample of the day.</summary>
    public const double GoodShareHeld = 0.30;

    /// <summary>Median 1σ above the usual by more than this factor: remarks. Chosen: means of winds lose a third of their weight.</summary>
    public const double SigmaRemarks = 1.25;

    /// <summary>Median 1σ above the usual by more than this factor: held. Chosen: a day weighs a quarter of a usual one, so something is wrong with it.</summary>
    public const double SigmaHeld = 2;

    /// <summary>Days before the day that tell what is usual. Chosen: one rotation of the Sun as the Earth sees it, so that brighter and dimmer airglow are both in it.</summary>
    public const int UsualDays = 27;

    /// <summary>Days with winds that it takes to call anything usual. Chosen: a median of fewer is one day's luck.</summary>
    public const int LeastUsualDays = 5;
}
