namespace Phasekeeper.Core.Winds;

/// <summary>
/// Change of a wind by +1σ of rotation about yaw, pitch and roll (<see cref="AttitudeSensitivity"/>), m/s, with its sign. A turn that nobody reports is the same in every look of some minutes, so what
/// it does to two winds adds up or cancels with these signs.
/// </summary>
/// <param name="YawMs">By +1σ of rotation about the outward vertical.</param>
/// <param name="PitchMs">By +1σ of rotation about the orbit's normal.</param>
/// <param name="RollMs">By +1σ of rotation about the third axis, along the track.</param>
public readonly record struct AttitudeErrors(double YawMs, double PitchMs, double RollMs)
{
    /// <summary>1σ of the wind by all three axes, which are independent of each other, m/s.</summary>
    public double SigmaMs => Math.Sqrt(Covariance(this, this));

    /// <summary>Covariance of two winds by a turn that is common to them, (m/s)².</summary>
    public static double Covariance(AttitudeErrors a, AttitudeErrors b) => a.YawMs * b.YawMs + a.PitchMs * b.PitchMs + a.RollMs * b.RollMs;

    /// <summary>Errors of a sum of winds.</summary>
    public static AttitudeErrors operator +(AttitudeErrors a, AttitudeErrors b) => new(a.YawMs + b.YawMs, a.PitchMs + b.PitchMs, a.RollMs + b.RollMs);

    /// <summary>Errors of a multiple of a wind.</summary>
    public static AttitudeErrors operator *(double x, AttitudeErrors a) => new(x * a.YawMs, x * a.PitchMs, x * a.RollMs);
}
