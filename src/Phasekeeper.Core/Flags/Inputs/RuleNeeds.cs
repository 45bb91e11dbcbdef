namespace Phasekeeper.Core.Flags.Inputs;

/// <summary>Which parts of <see cref="RuleInputs"/> a rule reads; the rest may be left empty when it runs.</summary>
[Flags]
public enum RuleNeeds
{
    /// <summary>Nothing but the orbits.</summary>
    None = 0,
    /// <summary>Tracker series.</summary>
    Series = 1,
    /// <summary>Channel samples.</summary>
    Channels = 2,
    /// <summary>Phase-folded profiles.</summary>
    Profiles = 4,
    /// <summary>Arrivals per orbit.</summary>
    Arrivals = 8,
    /// <summary>Lamp exposures per orbit.</summary>
    Lamps = 16,
    /// <summary>Intake events.</summary>
    Events = 32,
    /// <summary>Coverage gaps of orbit and attitude files.</summary>
    Coverage = 64,
    /// <summary>Image-shift steps.</summary>
    Steps = 128,
    /// <summary>Spikes per exposure.</summary>
    Spikes = 256,
    /// <summary>Flags of other rules that outlast the activities that explain them: such a rule runs after the others.</summary>
    Overruns = 512,
}
