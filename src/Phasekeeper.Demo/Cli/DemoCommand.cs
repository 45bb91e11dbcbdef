using System.Diagnostics;
using System.Globalization;
using Phasekeeper.Core.Time;
using Phasekeeper.Demo.Feed;
using Phasekeeper.Demo.Scenario;

namespace Phasekeeper.Demo.Cli;

/// <summary>The command line program: writes a rehearsal folder.</summary>
public static class DemoCommand
{
    /// <summary>Runs the program.</summary>
    /// <returns>0, or 2 when the arguments or files cannot be used (the reason is on <paramref name="error"/>).</returns>
    public static int Run(IReadOnlyList<string> arguments, TextWriter output, TextWriter error)
    {
        try
        {
            var options = DemoOptions.Parse(arguments);
            if (options.ShowHelp)
            {
                output.WriteLine(DemoOptions.Help);
                return 0;
            }
            var scenario = options.ScenarioFile is null ? DemoScenario.Default : DemoScenario.Parse(File.ReadAllText(options.ScenarioFile), options.ScenarioFile);
            if (options.Start is { } start) scenario = scenario.StartingAt(start);
            if (options.List)
            {
                foreach (var e in scenario.Events) output.WriteLine(Line(scenario, e));
                return 0;
            }
            Write(options, scenario, output);
            return 0;
        }
        catch (Exception e) when (e is ScenarioException or IOException or UnauthorizedAccessException)
        {
            error.WriteLine(e.Message);
            return 2;
        }
    }

    private static void Write(DemoOptions options, DemoScenario scenario, TextWriter output)
    {
        var clock = Stopwatch.StartNew();
        var generator = new ScenarioGenerator(scenario, options.Seed, scenario.SelectEvents(options.Events));
        var from = options.FromHours == 0 ? generator.FirstPacket : scenario.At(options.FromHours);
        var to = scenario.At(options.FromHours).AddSeconds(options.Days * 86400);
        generator.WriteProfile(options.Out!, to.AddSeconds(86400));
        var packets = Directory.CreateDirectory(Path.Combine(options.Out!, "packets")).FullName;
        long bytes = 0;
        var files = 0;
        void Save(string name, byte[] content)
        {
            File.WriteAllBytes(Path.Combine(packets, name), content);
            bytes += content.Length;
            files++;
        }
        foreach (var (a, b) in FeedPlan.OrbitWindows(generator.Orbit, from, to)) Save(FeedPlan.FileName(a, b), generator.PacketsFor(a, b, options.Threads));
        foreach (var (e, delivered) in generator.LateDownlinks)
            if (delivered >= from && delivered < to) Save($"late-{e.Name}.pkt", generator.LatePackets(e, options.Threads));
        if (options.Truth)
        {
            using var scenes = new StreamWriter(Path.Combine(options.Out!, "truth.csv"));
            generator.WriteTruth(scenes, from, to, options.Threads);
            using var drift = new StreamWriter(Path.Combine(options.Out!, "truth-drift.csv"));
            generator.WriteDriftTruth(drift, from, to);
        }
        output.WriteLine(string.Create(CultureInfo.InvariantCulture,
            $"{options.Out}: {from} to {to}, seed {generator.Seed}, {files} packet files, {bytes / 1e6:F1} MB, {clock.Elapsed.TotalSeconds:F1} s"));
        foreach (var e in generator.Events.Where(e => scenario.At(e.StartHours) < to && (double.IsInfinity(e.EndHours) || scenario.At(e.EndHours) > from)))
            output.WriteLine("  " + Line(scenario, e));
    }

    private static string Line(DemoScenario scenario, ScenarioEvent e) => string.Create(CultureInfo.InvariantCulture,
        $"{e.Name}: {scenario.At(e.StartHours)} to {(double.IsInfinity(e.EndHours) ? "the end" : scenario.At(e.EndHours).ToString())}. {e.Description}");
}
