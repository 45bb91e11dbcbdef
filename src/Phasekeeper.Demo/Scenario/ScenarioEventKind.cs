namespace Phasekeeper.Demo.Scenario;

/// <summary>What an injected event does to the data. The meaning of <see cref="ScenarioEvent.Size"/> stands beside each.</summary>
public enum ScenarioEventKind
{
    /// <summary>The interferometer's heater stays off; size is not used.</summary>
    HeaterStuckOff,
    /// <summary>The fringe image of a view moves along the row; size in samples.</summary>
    ImageShiftStep,
    /// <summary>The lamp loses light; size is the fraction lost.</summary>
    LampDimming,
    /// <summary>The lamp is driven harder on purpose; size is the fraction gained.</summary>
    LampTest,
    /// <summary>Fringes of scene and lamp lose visibility; size is the fraction lost.</summary>
    VisibilityLoss,
    /// <summary>No packet measured in the stretch arrives, or it arrives late; size is not used.</summary>
    LostDownlink,
    /// <summary>Packets are damaged on the way; size is the fraction of packets.</summary>
    CorruptedPackets,
    /// <summary>The time written into packets is wrong; size in seconds, positive = ahead.</summary>
    ClockJump,
    /// <summary>Energetic particles everywhere; size multiplies the quiet rate outside the South Atlantic.</summary>
    SpikeStorm,
    /// <summary>The body is turned in yaw and its attitude data do not say so; size in degrees towards the left of the track.</summary>
    AttitudeOffset,
    /// <summary>A slew: the mode, wheel and star-tracker channels show it; size is not used.</summary>
    Manoeuvre,
}
