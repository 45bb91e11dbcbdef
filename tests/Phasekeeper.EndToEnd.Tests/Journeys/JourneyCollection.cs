namespace Phasekeeper.EndToEnd.Tests.Journeys;

/// <summary>One server and one browser for all journeys.</summary>
[CollectionDefinition(Name)]
public sealed class JourneyCollection : ICollectionFixture<MissionServer>, ICollectionFixture<Chromium>
{
    /// <summary>Name of the collection.</summary>
    public const string Name = "journeys";
}
