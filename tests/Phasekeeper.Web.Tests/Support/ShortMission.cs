using System.Text.Json;
using Phasekeeper.Core.Time;
using Phasekeeper.Demo.Scenario;
using Phasekeeper.Pipeline.Intake;
using Phasekeeper.Tests;

namespace Phasekeeper.Web.Tests.Support;

/// <summary>The application on a short mission: three hours of housekeeping and a quarter of an hour of exposures, sent in once and processed.</summary>
public sealed class ShortMission : WebHost, IAsyncLifetime
{
    private readonly string profile = Directory.CreateTempSubdirectory("phasekeeper-profile-").FullName;

    /// <summary>Name of the collection of tests that share it.</summary>
    public const string Collection = "a short mission";

    /// <summary>Start of the exposures.</summary>
    public static Instant Start => DemoScenario.Default.Start;

    /// <summary>End of the data.</summary>
    public static Instant End => Start.AddSeconds(900);

    /// <summary>All packets.</summary>
    public byte[] Packets { get; private set; } = [];

    /// <summary>What the first POST answered.</summary>
    public JsonElement FirstAnswer { get; private set; }

    /// <summary>Figures just after it was answered.</summary>
    public IntakeFigures JustAfter { get; private set; } = null!;

    /// <summary>Numbers of fringe rows and tracker values at the first moment that idle was answered.</summary>
    public (int Fringes, int Values) AtIdle { get; private set; }

    /// <summary>Client.</summary>
    public ApiClient Api { get; private set; } = null!;

    /// <summary>The inbox.</summary>
    public string Inbox => Path.Combine(DataFolder, "inbox");

    /// <inheritdoc/>
    protected override string Profile => profile;

    /// <inheritdoc/>
    public async Task InitializeAsync()
    {
        var mission = new ScenarioGenerator(DemoScenario.Default, events: []);
        mission.WriteProfile(profile, Start.AddSeconds(86400));
        Packets = mission.PacketsFor(mission.FirstPacket, End, Environment.ProcessorCount);
        Api = new ApiClient(CreateClient());
        FirstAnswer = await Post(Packets);
        JustAfter = await Figures();
        await WaitUntilIdle();
        AtIdle = ((await Api.Json("fringes?limit=1000000")).Count, (await Api.Json("trackers/channel-mean?limit=1000000")).Count);
    }

    /// <inheritdoc/>
    async Task IAsyncLifetime.DisposeAsync()
    {
        await DisposeAsync();
        TestFolder.Delete(profile);
    }
}

/// <summary>Tests that only read the mission, or leave it as it is.</summary>
[CollectionDefinition(ShortMission.Collection)]
public sealed class ShortMissionCollection : ICollectionFixture<ShortMission>;
