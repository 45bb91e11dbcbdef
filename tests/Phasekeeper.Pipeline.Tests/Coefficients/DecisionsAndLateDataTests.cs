using Dapper;
using Phasekeeper.Core.Coefficients;
using Phasekeeper.Packets.Ccsds;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Pipeline.Tests.Engine;
using Phasekeeper.Storage;
using Xunit.Abstractions;
using static Phasekeeper.Pipeline.Tests.Coefficients.ShortCampaign;

namespace Phasekeeper.Pipeline.Tests.Coefficients;

/// <summary>Any sequence of decisions, late data, holds and restarts leaves the products that a computation from the archive gives, bit for bit.</summary>
public class DecisionsAndLateDataTests(ITestOutputHelper output)
{
    // Chosen: three whole orbits and two torn ones.
    private const double Hours = 5;
    // Chosen: the views see the same air some seven minutes apart, so twelve minutes of scenes give winds of both and vectors, twice an orbit, at a quarter of what all scenes cost.
    private const double KeptS = 720, OfS = 2880;

    private static readonly Lazy<byte[]> Sent = new(() => DriftedCampaign.PacketsOfStretches(0, Hours, KeptS, OfS));

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    [InlineData(4)]
    [InlineData(5)]
    [InlineData(6)]
    [InlineData(7)]
    [InlineData(8)]
    [InlineData(9)]
    public async Task Products_are_those_of_a_computation_from_the_archive(int seed)
    {
        var random = new Random(seed);
        using var lived = await TestMission.StartAsync(Generator);
        // Pieces of packets in order of time; one in five comes later than its turn.
        var bytes = Sent.Value;
        byte[][] packets = [.. PacketFramer.Frame(bytes, lived.Folder.Plan.FramingRules).Packets.Select(p => bytes[p.Offset..(p.Offset + p.Length)])];
        var pieces = new Queue<byte[]>(packets.Chunk(packets.Length / 8 + 1).Select((p, i) => (Bytes: p.SelectMany(b => b).ToArray(), Turn: i + (random.Next(5) == 0 ? 4 : 0))).OrderBy(p => p.Turn).Select(p => p.Bytes));
        var script = new List<string>();
        while (pieces.Count > 0 || random.Next(4) != 0)
        {
            var step = random.Next(12);
            script.Add(step switch
            {
                < 4 when pieces.Count > 0 => await Take(),
                < 6 => await Approve(RandomOrbit()),
                6 => await Reinstate(),
                7 => await Hold(),
                8 => await Restart(),
                9 => await LeaveBe(),
                10 => await Retire(),
                _ => await Some(),
            });
        }
        // Whatever was drawn, some orbits have another set than others.
        script.Add(await Approve(lived.OrbitAt(2)));
        await lived.Reprocessing.ResumeAsync(Lea, "the end");
        await lived.DrainAsync();

        // The same sets, decisions and packets in a store of its own, decisions first.
        using var computed = await TestMission.StartAsync(Generator);
        foreach (var set in lived.Stores.Coefficients.All().Skip(1))
            Assert.Equal(set.Id, await computed.Desk.ProposeAsync(new() { Set = CoefficientPackage.Read(set.Json, computed.Folder.Profile.Instrument!, set.Name), Reason = "a test", Source = CoefficientSource.ByHand }, Ada));
        foreach (var d in lived.Stores.Coefficients.Decisions().Skip(1))
            await computed.Stores.Database.WriteAsync(t =>
            {
                var id = CoefficientStore.Decide(t, d);
                if (CoefficientDecision.PutsInForce(d.Decision)) WorkQueue.Mark(t, Pipeline.Stages.WorkKinds.TakeUpDecision, id, d.Time);
            });
        await computed.TakeAsync(bytes);
        await computed.DrainAsync();
        var (expected, found) = (computed.Products(), lived.Products());
        Assert.True(expected == found, $"{string.Join("; ", script)}\n{FirstDifference(expected, found)}");
        Assert.Empty(lived.Stores.Reprocessing.Orbits());
        // Else the sequence has shown nothing: products of every kind were compared, of more than one set.
        var counts = lived.Stores.Database.Read(c => new[] { "fringe", "losWind", "windVector", "trackerValue", "flag", "windSum" }.Select(t => (t, n: c.ExecuteScalar<long>($"SELECT count(*) FROM {t}"))).ToArray());
        output.WriteLine($"{string.Join("; ", script)}\n{string.Join(", ", counts)}");
        Assert.All(counts, k => Assert.True(k.n > 0, $"no {k.t}"));
        Assert.True(lived.Stores.Coefficients.Decisions().Count > 2 && lived.SetsOfProducts().Values.SelectMany(s => s).Distinct().Count() > 1, string.Join("; ", script));

        async Task<string> Take()
        {
            await lived.TakeAsync(pieces.Dequeue());
            if (random.Next(2) == 0) await lived.DrainAsync();
            return "packets";
        }

        async Task<(long Id, string What)> Propose()
        {
            var (what, set) = Drawn();
            return (await lived.Desk.ProposeAsync(new() { Set = set, Reason = "a test", Source = CoefficientSource.ByHand }, Ada), what);
        }

        async Task<string> Approve(int orbit)
        {
            var (id, what) = await Propose();
            await lived.Desk.ApproveAsync(id, new() { Reason = "forth", FromOrbit = orbit, OverLater = random.Next(3) == 0, InPlaceOf = lived.Desk.Outlook(id, new() { FromOrbit = orbit }).InPlaceOf }, Lea);
            return $"{id} ({what}) from {orbit}";
        }

        // Declined or withdrawn: nothing follows from it.
        async Task<string> LeaveBe()
        {
            var (id, _) = await Propose();
            if (random.Next(2) == 0) await lived.Desk.DeclineAsync(id, "no", null, Lea);
            else await lived.Desk.WithdrawAsync(id, "not this", null, Ada);
            return $"{id} left be";
        }

        async Task<string> Retire()
        {
            if (lived.Stores.Reprocessing.All().LastOrDefault(r => r is { Finished: not null, Retired: null }) is not { } done) return "nothing to retire";
            await lived.Reprocessing.RetireAsync(done.Decision, Lea, "compared");
            return $"winds of before {done.Decision} given up";
        }

        // A number that the retrieval reads, or one that comes in behind it: decisions change fringes, or what is made of them.
        (string What, CoefficientSet Set) Drawn()
        {
            var (ground, factor) = (lived.Folder.GroundSet!, 1 + random.Next(1, 60) / 200.0);
            CoefficientSet Each(Func<OpticsCoefficients, OpticsCoefficients> change) => ground with { Optics = [.. ground.Optics.Select(change)] };
            var instrument = lived.Folder.Profile.Instrument!;
            var (what, set) = random.Next(6) switch
            {
                0 => ("thermal slope", Each(o => o with { Thermal = o.Thermal with { RadPerK = o.Thermal.RadPerK * factor } })),
                1 => ("dark rate", ground with { Dark = ground.Dark with { RateElectronsPerS = ground.Dark.RateElectronsPerS * factor } }),
                2 => ("flat", Each(o => o with { Flat = [.. Enumerable.Range(0, instrument.Rows).Select(r => Enumerable.Range(0, instrument.Samples).Select(i => (o.Flat?[r][i] ?? 1) * (1 + 0.001 * factor * (i % 7))).ToArray())] })),
                3 => ("zero wind", Each(o => o with { ZeroWindRad = [.. o.ZeroWindRad.Select(z => z + 0.02 * factor)] })),
                4 => ("distortion", Each(o => o with { DistortionRad = [.. o.DistortionRad.Select((a, j) => a.Select((v, k) => j == 0 && k == 0 ? v + 0.01 * factor : v).ToArray())] })),
                _ => ("bad samples", ground with { BadSamples = [.. ground.BadSamples, new(ground.Optics[0].View, ground.Optics[0].Line, 3, 40 + (int)(factor * 100))] }),
            };
            return (what, set with { Name = string.Create(System.Globalization.CultureInfo.InvariantCulture, $"set {lived.Stores.Coefficients.Names().Count} {what}") });
        }

        async Task<string> Reinstate()
        {
            var known = lived.Stores.Coefficients.All().Where(s => s.State is CoefficientDecision.Approved or CoefficientDecision.Reinstated).ToArray();
            var (id, orbit) = (known[random.Next(known.Length)].Id, RandomOrbit());
            if (lived.Desk.Outlook(id, new() { FromOrbit = orbit }).InPlaceOf == id) return "nothing";
            await lived.Desk.ReinstateAsync(id, new() { Reason = "back", FromOrbit = orbit, OverLater = random.Next(2) == 0, InPlaceOf = lived.Desk.Outlook(id, new() { FromOrbit = orbit }).InPlaceOf }, Leo);
            return $"back to {id} from {orbit}";
        }

        async Task<string> Hold()
        {
            if (lived.Stores.Reprocessing.IsPaused) await lived.Reprocessing.ResumeAsync(Lea, null);
            else await lived.Reprocessing.PauseAsync(Lea, null);
            return "hold or resume";
        }

        async Task<string> Restart()
        {
            await lived.RestartAsync();
            return "restart";
        }

        async Task<string> Some()
        {
            for (var i = random.Next(1, 15); i > 0; i--) await lived.Engine.StepAsync(CancellationToken.None);
            return "some work";
        }

        int RandomOrbit() => lived.OrbitAt(random.NextDouble() * (Hours + 1.5) - 0.5);
    }
}
