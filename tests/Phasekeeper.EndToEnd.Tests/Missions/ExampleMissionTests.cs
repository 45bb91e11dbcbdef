using Phasekeeper.Packets.Ccsds;
using Phasekeeper.Tests;
using Xunit.Abstractions;

namespace Phasekeeper.EndToEnd.Tests.Missions;

/// <summary>
/// A mission made by others: 36 minutes of a simulation that shares no code with ours (example-mission beside the checkout), sent through profile,
/// packets and API. truth.csv says what was put in.
/// </summary>
public sealed class ExampleMissionTests(ITestOutputHelper output)
{
    private const double OneCentimetrePerSecond = 0.01;

    private static string Folder => ReferenceFiles.SharedFolder("example-mission")!;

    [SharedFolderFact("example-mission")]
    public async Task Phases_agree_with_the_truth_within_their_uncertainty()
    {
        using var run = new MissionRun(Folder);
        var answer = await run.Post(Packets());
        Assert.Equal(0, answer.GetProperty("quarantined").GetInt64());
        await run.WaitUntilIdle();
        var found = (await run.Rows("fringes?kind=scene&limit=1000000")).ToDictionary(Key);
        var truth = Table.Read(File.ReadAllText(Path.Combine(Folder, "truth.csv")));
        foreach (var group in truth.GroupBy(t => (View: t["view"], Line: t["line"])))
        {
            var errors = new List<double>();
            foreach (var put in group)
            {
                if (!found.TryGetValue(Key(put), out var row) || row["phaseRad"].Length == 0) continue;
                errors.Add(Math.IEEERemainder(row.Number("phaseRad") - put.Number("phase_rad"), 2 * Math.PI) / row.Number("phaseSigmaRad"));
                Assert.InRange(row.Number("velocityRemovedMs") - put.Number("motion_m_per_s"), -OneCentimetrePerSecond, OneCentimetrePerSecond);
            }
            var (rms, mean, share) = (Math.Sqrt(errors.Sum(e => e * e) / errors.Count), errors.Average(), errors.Count / (double)group.Count());
            output.WriteLine($"{group.Key.View} {group.Key.Line}: {errors.Count} rows, error/sigma rms {rms:0.0000}, mean {mean:0.0000}, results for {share:P2}");
            Assert.InRange(share, 0.99, 1);
            Assert.InRange(rms, 0.95, 1.05);
            Assert.InRange(mean, -0.1, 0.1);
        }
    }

    [SharedFolderFact("example-mission")]
    public async Task Order_cuts_and_repeats_of_packets_change_no_answer()
    {
        using var plain = new MissionRun(Folder);
        await plain.Post(Packets());
        var figures = await plain.WaitUntilIdle();
        using var mixed = new MissionRun(Folder);
        var stored = 0L;
        foreach (var part in Mixed(Packets(), seed: 7)) stored += (await mixed.Post(part)).GetProperty("stored").GetInt64();
        await mixed.WaitUntilIdle();
        Assert.Equal(figures.GetProperty("stored").GetInt64(), stored);

        var (expected, actual) = (await plain.Everything(), await mixed.Everything());
        Assert.Equal(expected.Keys, actual.Keys);
        foreach (var (call, text) in expected) Assert.True(text == actual[call], $"{call} differs: {FirstDifference(text, actual[call])}");
    }

    private static string FirstDifference(string expected, string actual)
    {
        var at = expected.Zip(actual).TakeWhile(pair => pair.First == pair.Second).Count();
        var from = Math.Max(0, at - 120);
        string Around(string text) => text[Math.Min(from, text.Length)..Math.Min(at + 120, text.Length)];
        return $"…{Around(expected)}… against …{Around(actual)}…";
    }

    internal static string Key(Dictionary<string, string> row) => string.Join(' ', row["exposure"], row["view"], row["line"], row["row"]);

    internal static byte[] Packets() =>
        [.. Directory.GetFiles(Path.Combine(Folder, "packets")).Order(StringComparer.Ordinal).SelectMany(File.ReadAllBytes)];

    // Packets in any order, a fifth of them twice, in parts of any size.
    private static IEnumerable<byte[]> Mixed(byte[] bytes, int seed)
    {
        var random = new Random(seed);
        var packets = new List<byte[]>();
        for (var i = 0; i < bytes.Length;)
        {
            Assert.True(PrimaryHeader.TryRead(bytes.AsSpan(i), out var header));
            packets.Add(bytes[i..(i + header.PacketLength)]);
            i += header.PacketLength;
        }
        byte[][] mixed = [.. packets, .. random.GetItems(packets.ToArray(), packets.Count / 5)];
        random.Shuffle(mixed);
        for (var i = 0; i < mixed.Length;)
        {
            var count = random.Next(1, 800);
            yield return mixed.Skip(i).Take(count).SelectMany(p => p).ToArray();
            i += count;
        }
    }
}
