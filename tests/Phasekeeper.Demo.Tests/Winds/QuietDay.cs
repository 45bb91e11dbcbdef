using Phasekeeper.Core.Winds;

namespace Phasekeeper.Demo.Tests.Winds;

/// <summary>A day of the demo without events, read once for the tests of its collection.</summary>
public sealed class QuietDay
{
    private const double FromHours = 24;

    public QuietDay()
    {
        Mission = new ScenarioMission(Generators.Quiet, FromHours, FromHours + 24);
        Winds = new ScenarioWinds(Mission, Corrections.All);
        Profiles = Winds.Retrieve();
        Truth = new ScenarioTruth(Generators.Quiet);
        Errors = WindComparison.Compare(Profiles, Truth);
    }

    public ScenarioMission Mission { get; }
    public ScenarioWinds Winds { get; }
    public IReadOnlyList<LosWindProfile> Profiles { get; }
    public ScenarioTruth Truth { get; }
    public IReadOnlyList<WindError> Errors { get; }
}

/// <summary>Tests that share the quiet day.</summary>
[CollectionDefinition(Name)]
public sealed class QuietDayGroup : ICollectionFixture<QuietDay>
{
    public const string Name = "quiet day";
}
