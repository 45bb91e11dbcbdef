using Phasekeeper.Core.SignOff;

namespace Phasekeeper.Core.Tests.SignOff;

public sealed class DayChangesTests
{
    // Three profiles of ten rows each, told by their fingerprints.
    private static GroundOrbit Orbit(int number, params ulong[] profiles) => new(number, 60, 1000, 1, false, 10 * profiles.Length, [.. profiles.SelectMany(BitConverter.GetBytes)]);

    private static readonly DayGround Ground = new([Orbit(7, 1, 2, 3), Orbit(8, 4, 5, 6)], [new("a", "warning", "open", "Lamp lost.")], "remarks", ["flags-warning"], 0);

    private static DayChange Only(DayGround after) => Assert.Single(DayChanges.Between(Ground, after));

    [Fact]
    public void Equal_grounds_have_equal_keys_and_no_changes_also_after_they_were_kept()
    {
        var back = DayGround.FromJson(Ground.ToJson());
        Assert.Equal(Ground.Key(), back.Key());
        Assert.Empty(DayChanges.Between(Ground, back));
        // The numbers in a flag's sentence move with every orbit of a long one.
        var moved = Ground with { Flags = [Ground.Flags[0] with { Message = "Lamp lost twice." }] };
        Assert.Equal(Ground.Key(), moved.Key());
        Assert.Empty(DayChanges.Between(Ground, moved));
    }

    [Fact]
    public void Winds_made_again_are_counted_by_their_values()
    {
        var after = Ground with { Orbits = [Orbit(7, 1, 22, 33), Ground.Orbits[1]] };
        Assert.NotEqual(Ground.Key(), after.Key());
        Assert.Equal(new DayChange("winds", "Winds made again: 20 of 60 values changed (orbit 7)."), Only(after));
    }

    [Fact]
    public void A_profile_in_between_is_no_change_of_those_behind_it() =>
        Assert.Equal("Winds made again: 10 of 70 values changed (orbit 7).", Only(Ground with { Orbits = [Orbit(7, 9, 1, 2, 3), Ground.Orbits[1]] }).Text);

    [Fact]
    public void Profiles_that_are_gone_are_told() =>
        Assert.Equal("Winds made again: 0 of 50 values changed (orbit 8); 1 profiles fewer.", Only(Ground with { Orbits = [Ground.Orbits[0], Orbit(8, 4, 5)] }).Text);

    [Fact]
    public void Late_data_coefficients_holds_and_flags_are_told_by_name()
    {
        Assert.Equal("Data arrived late or went: +2 exposures, +30 rows of orbit 7.", Only(Ground with { Orbits = [Ground.Orbits[0] with { ReceivedExposures = 62, ReceivedRows = 1030 }, Ground.Orbits[1]] }).Text);
        Assert.Equal("Coefficient set 4 instead of 1: orbits 7, 8.", Only(Ground with { Orbits = [.. Ground.Orbits.Select(o => o with { CoefficientSet = 4 })] }).Text);
        Assert.Equal("Held by a person: orbit 8.", Only(Ground with { Orbits = [Ground.Orbits[0], Ground.Orbits[1] with { Held = true }] }).Text);
        Assert.Equal("Flag settled (warning): Lamp lost.", Only(Ground with { Flags = [Ground.Flags[0] with { State = "settled" }] }).Text);
        Assert.Equal("Flag raised (critical): Too hot.", Only(Ground with { Flags = [Ground.Flags[0], new("b", "critical", "open", "Too hot.")] }).Text);
        Assert.Equal("Flag withdrawn, or no longer on these orbits (warning): Lamp lost.", Only(Ground with { Flags = [] }).Text);
        Assert.Equal("The system now proposes held (before: remarks); new reasons: completeness.", Only(Ground with { Proposed = "held", Reasons = ["completeness", "flags-warning"] }).Text);
    }
}
