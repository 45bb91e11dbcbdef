namespace Phasekeeper.Core.Winds;

/// <summary>A profile and those before and after it of the same view and line, ready to be read between their heights; a neighbour is null where it has no inverted winds.</summary>
internal sealed record ProfileTrio(ProfileInterpolation? Before, ProfileInterpolation Here, ProfileInterpolation? After)
{
    /// <summary>Prepares the three; null when the middle one has no inverted winds.</summary>
    public static ProfileTrio? TryCreate(LosWindProfile? before, LosWindProfile here, LosWindProfile? after) => ProfileInterpolation.TryCreate(here) is not { } own ? null
        : new(before is null ? null : ProfileInterpolation.TryCreate(before), own, after is null ? null : ProfileInterpolation.TryCreate(after));
}
