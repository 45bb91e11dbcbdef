using Phasekeeper.Tests;

namespace Phasekeeper.EndToEnd.Tests.Missions;

/// <summary>
/// Two hours of a real polar orbiter's geolocation packets (real-packets beside the checkout; test data of space_packet_parser, BSD 3-clause) by
/// their own XTCE file, through the same road as any mission. A mission of housekeeping only.
/// </summary>
public sealed class RealPacketsTests
{
    private const double OneMetrePerSecond = 1.0;

    private const string Profile =
        """
        {
          "schema": "phasekeeper-profile/1",
          "spacecraft": { "name": "Polar orbiter" },
          "packets": {
            "definition": "geolocation.xtce.xml",
            "checksum": "none",
            "time": { "code": "cds", "day": "DOY", "millisecond": "MSEC", "microsecond": "USEC", "epoch": "1958-01-01T00:00:00Z", "scale": "utc" }
          }
        }
        """;

    [SharedFolderFact("real-packets")]
    public async Task Real_packets_decode_whole_and_agree_with_physics()
    {
        var shared = ReferenceFiles.SharedFolder("real-packets")!;
        var profile = Directory.CreateTempSubdirectory("phasekeeper-real-").FullName;
        try
        {
            File.WriteAllText(Path.Combine(profile, "profile.json"), Profile);
            File.WriteAllBytes(Path.Combine(profile, "geolocation.xtce.xml"), File.ReadAllBytes(Path.Combine(shared, "geolocation.xtce.xml")));
            using var run = new MissionRun(profile);
            var answer = await run.Post(File.ReadAllBytes(Path.Combine(shared, "geolocation-2021-04-09.pkt")));
            Assert.Equal((7200, 0), (answer.GetProperty("stored").GetInt64(), answer.GetProperty("quarantined").GetInt64()));
            await run.WaitUntilIdle();
            Assert.Equal(20, (await run.Items("channels")).Count(c => c.GetProperty("count").GetInt64() == 7200));
            await CheckPhysics(run);
        }
        finally
        {
            TestFolder.Delete(profile);
        }
    }

    private static async Task CheckPhysics(MissionRun run)
    {
        var position = await Vectors(run, "ADGPSPOSX", "ADGPSPOSY", "ADGPSPOSZ");
        var velocity = await Vectors(run, "ADGPSVELX", "ADGPSVELY", "ADGPSVELZ");
        var quaternion = await Vectors(run, "ADCFAQ1", "ADCFAQ2", "ADCFAQ3", "ADCFAQ4");
        // The time of validity inside the packets, s of the day.
        var time = (await Vectors(run, "ADAET1MS", "ADAET1US")).Select(t => t[0] * 1e-3 + t[1] * 1e-6).ToArray();
        for (var i = 0; i < position.Count; i++)
        {
            // About 825 to 855 km above an Earth of 6357 to 6378 km.
            Assert.InRange(Norm(position[i]) * 1e-3, 6357 + 825, 6378 + 860);
            Assert.InRange(Norm(velocity[i]), 7000, 7600);
            Assert.InRange(Norm(quaternion[i]), 1 - 1e-5, 1 + 1e-5);
            if (i == 0) continue;
            var dt = time[i] - time[i - 1];
            for (var k = 0; k < 3; k++)
                Assert.InRange((position[i][k] - position[i - 1][k]) / dt - (velocity[i][k] + velocity[i - 1][k]) / 2, -OneMetrePerSecond, OneMetrePerSecond);
        }
    }

    private static async Task<IReadOnlyList<double[]>> Vectors(MissionRun run, params string[] channels)
    {
        var columns = new List<double[]>();
        foreach (var channel in channels) columns.Add([.. (await run.Rows($"channels/{channel}?limit=1000000")).Select(r => r.Number("value"))]);
        Assert.All(columns, c => Assert.Equal(7200, c.Length));
        return [.. Enumerable.Range(0, 7200).Select(i => columns.Select(c => c[i]).ToArray())];
    }

    private static double Norm(double[] v) => Math.Sqrt(v.Sum(x => x * x));
}
