using Phasekeeper.Core.Time;

namespace Phasekeeper.Demo.Feed;

/// <summary>
/// Simulated mission time: it starts at a moment and passes faster than real time by a factor that can be changed on the way. The host
/// tells the real time that has passed; the clock itself reads none.
/// </summary>
public sealed class SimulatedClock(Instant start, double speedUp)
{
    /// <summary>Mission time.</summary>
    public Instant Now { get; private set; } = start;

    /// <summary>Seconds of mission time that pass in a real second; 0 = stands still.</summary>
    public double SpeedUp { get; private set; } = Checked(speedUp);

    /// <summary>Lets real time pass.</summary>
    public Instant Advance(double realSeconds)
    {
        if (!(realSeconds >= 0)) throw new ArgumentOutOfRangeException(nameof(realSeconds), realSeconds, "Expected 0 or more seconds.");
        return Now = Now.AddSeconds(realSeconds * SpeedUp);
    }

    /// <summary>Changes the speed from now on.</summary>
    public void SetSpeed(double factor) => SpeedUp = Checked(factor);

    private static double Checked(double factor) => factor is >= 0 and <= 100_000 ? factor
        : throw new ArgumentOutOfRangeException(nameof(factor), factor, "Expected a speed-up from 0 (stands still) to 100000.");
}
