namespace Phasekeeper.Core.Flags.Grouping;

/// <summary>One thing that is known to cause another.</summary>
/// <param name="Cause">What comes first.</param>
/// <param name="Effect">What follows.</param>
/// <param name="LagOrbits">The effect may begin up to so many orbits after the cause's end.</param>
/// <param name="Why">How the one brings the other, as a clause that follows "because".</param>
public sealed record KnownChain(FlagTopic Cause, FlagTopic Effect, int LagOrbits, string Why);

/// <summary>
/// All chains of cause and effect that flags are grouped by, in one place. From the forward model (domain.md sections 2 to 4). Of several that fit an effect the earlier line is taken: direct causes stand
/// before distant ones. Lags are chosen from what each does: heat is gone after two orbits (five thermal lags of some 420 s are half an orbit, temperatures themselves need one), data matters end with the orbit.
/// </summary>
public static class KnownChains
{
    /// <summary>The chains.</summary>
    public static IReadOnlyList<KnownChain> All { get; } =
    [
        new(FlagTopic.Heater, FlagTopic.Temperature, 1, "a heater or cooler that works otherwise changes the temperatures around it"),
        new(FlagTopic.Attitude, FlagTopic.Temperature, 1, "another attitude turns other sides to the Sun, so temperatures change"),
        new(FlagTopic.Temperature, FlagTopic.LampSupply, 1, "the lamp's supply follows the temperature of lamp and electronics"),
        new(FlagTopic.LampSupply, FlagTopic.Lamp, 1, "the lamp's light follows its current and voltage"),
        new(FlagTopic.Temperature, FlagTopic.Detector, 1, "dark current doubles within a few kelvin"),
        new(FlagTopic.Temperature, FlagTopic.ImageShift, 1, "the image moves with the bench's temperature"),
        new(FlagTopic.Temperature, FlagTopic.ThermalPhase, 2, "the optics' dimensions, and with them the phase, follow the temperature, with a lag"),
        new(FlagTopic.Heater, FlagTopic.ThermalPhase, 2, "a heater or cooler that works otherwise moves the phase through the temperature, even where that stays within its limits"),
        new(FlagTopic.ImageShift, FlagTopic.ThermalPhase, 1, "a shift of the image moves the fringes, so the lamp's phase leaves the model"),
        new(FlagTopic.Lamp, FlagTopic.ThermalPhase, 1, "a weak lamp measures the optical drift less well"),
        new(FlagTopic.LampMissing, FlagTopic.ThermalPhase, 1, "without lamp exposures the thermal model stands alone"),
        new(FlagTopic.ThermalPhase, FlagTopic.ScenePhase, 1, "what the thermal correction leaves stays in the scene's phase"),
        new(FlagTopic.ImageShift, FlagTopic.ScenePhase, 1, "a shift of the image moves the scene's fringes too"),
        new(FlagTopic.Attitude, FlagTopic.ScenePhase, 2, "a wrong attitude takes out the wrong part of the satellite's velocity: 0.01° of yaw is about 1 m/s"),
        new(FlagTopic.Temperature, FlagTopic.ScenePhase, 2, "the phase of scenes follows the temperature where the correction does not hold"),
        new(FlagTopic.ScenePhase, FlagTopic.Visibility, 1, "a phase that moves within an exposure washes its fringes out"),
        new(FlagTopic.ThermalPhase, FlagTopic.Visibility, 1, "a phase that moves within an exposure washes its fringes out"),
        new(FlagTopic.ImageShift, FlagTopic.Visibility, 1, "an image that moves washes the fringes out"),
        new(FlagTopic.Temperature, FlagTopic.Visibility, 2, "optics far from their temperature lose focus and alignment"),
        new(FlagTopic.Lamp, FlagTopic.Visibility, 0, "a weak lamp's fringes are measured less well"),
        new(FlagTopic.Spikes, FlagTopic.Detector, 1, "particles leave samples hot and darks bright"),
        new(FlagTopic.Spikes, FlagTopic.Visibility, 0, "masked samples spoil the fit of the fringes"),
        new(FlagTopic.Damage, FlagTopic.Gap, 1, "packets that cannot be decoded leave a gap"),
        new(FlagTopic.Gap, FlagTopic.LampMissing, 0, "lamp exposures of the gap did not arrive"),
        new(FlagTopic.Gap, FlagTopic.Incomplete, 0, "exposures of the gap did not arrive, so the orbit and its winds are incomplete"),
        new(FlagTopic.Damage, FlagTopic.Incomplete, 0, "exposures in packets that cannot be decoded are lost, so the orbit and its winds are incomplete"),
        new(FlagTopic.Late, FlagTopic.Incomplete, 0, "what comes late is missing until then"),
        new(FlagTopic.Gap, FlagTopic.Late, 1, "what was missing came later"),
        new(FlagTopic.Clock, FlagTopic.Gap, 1, "a clock that jumps leaves times without data"),
        new(FlagTopic.Clock, FlagTopic.Damage, 1, "packets with a wrong time claim places that others hold"),
        new(FlagTopic.Clock, FlagTopic.Incomplete, 1, "exposures with a wrong time are counted elsewhere"),
        new(FlagTopic.Clock, FlagTopic.ScenePhase, 0, "a wrong time takes the satellite's velocity from the wrong place"),
        new(FlagTopic.Coverage, FlagTopic.ScenePhase, 0, "without orbit or attitude the satellite's velocity cannot be taken out"),
        new(FlagTopic.Coefficients, FlagTopic.ThermalPhase, 0, "coefficients that have aged no longer describe the instrument"),
    ];

    private static readonly ILookup<FlagTopic, KnownChain> ByEffect = All.ToLookup(c => c.Effect);

    /// <summary>Chains that end in a topic, the direct ones first.</summary>
    public static IEnumerable<KnownChain> To(FlagTopic effect) => ByEffect[effect];
}
