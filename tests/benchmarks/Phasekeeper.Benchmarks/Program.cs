using System.Globalization;
using Phasekeeper.Benchmarks;

switch (args)
{
    case ["accuracy", ..]:
        AccuracyTable.Print(Console.Out);
        return 0;
    case ["fringes", ..]:
        await FringeSpeed.PrintAsync(Console.Out);
        return 0;
    case ["decode", ..]:
        BenchmarkDotNet.Running.BenchmarkRunner.Run<DecodeBenchmarks>();
        return 0;
    case ["kernels", ..]:
        BenchmarkDotNet.Running.BenchmarkRunner.Run<KernelBenchmarks>();
        return 0;
    case ["wind-speed"]:
        WindSpeed.Print(Console.Out);
        return 0;
    case ["wind-accuracy"]:
        WindTables.Print(Console.Out, 24, 30, null);
        return 0;
    case ["wind-accuracy", var from, var hours, var seed]:
        WindTables.Print(Console.Out, double.Parse(from, CultureInfo.InvariantCulture), double.Parse(hours, CultureInfo.InvariantCulture), ulong.Parse(seed, CultureInfo.InvariantCulture));
        return 0;
    case ["wind-survey", var first, var seeds]:
        WindSurvey.Print(Console.Out, ulong.Parse(first, CultureInfo.InvariantCulture), int.Parse(seeds, CultureInfo.InvariantCulture));
        return 0;
    case ["diary", .. var rest] when DiaryOptions.TryParse(rest, out var options):
        await DiaryTable.PrintAsync(Console.Out, options);
        return 0;
    case ["assess", .. var lengths] when lengths.All(l => int.TryParse(l, out var n) && n is >= 50 and <= 30_000):
        await AssessSpeed.PrintAsync(Console.Out, lengths.Length == 0 ? [100, 450, 2000] : [.. lengths.Select(int.Parse)]);
        return 0;
    case ["winds"]:
        await WindRecompute.PrintAsync(Console.Out, 1, null);
        return 0;
    case ["winds", var days] when int.TryParse(days, out var number) && number is > 0 and <= 30:
        await WindRecompute.PrintAsync(Console.Out, number, null);
        return 0;
    case ["winds", var days, "--keep", var folder] when int.TryParse(days, out var number) && number is > 0 and <= 30:
        await WindRecompute.PrintAsync(Console.Out, number, folder);
        return 0;
    case ["comparison"]:
        ComparisonSpeed.Print(Console.Out, 1_000_000);
        return 0;
    case ["comparison", var columns] when int.TryParse(columns, out var many) && many is > 0 and <= 10_000_000:
        ComparisonSpeed.Print(Console.Out, many);
        return 0;
    case ["pages"]:
        await PageSpeed.PrintAsync(Console.Out, 1, null);
        return 0;
    case ["pages", var days, .. var rest] when int.TryParse(days, out var number) && number is > 0 and <= 33 && rest is [] or ["--keep", _]:
        await PageSpeed.PrintAsync(Console.Out, int.Parse(days, CultureInfo.InvariantCulture), rest is [_, var kept] ? kept : null);
        return 0;
    case ["full-day", .. var rest] when rest is [] or ["--keep", _]:
        await FullDay.PrintAsync(Console.Out, rest is [_, var place] ? place : null, 3, withPeer: true);
        return 0;
    case ["full-day-run", var made]:
        await FullDayRun.PrintAsync(Console.Out, made);
        return 0;
    case ["five-years", var folder]:
        await FiveYears.MakeAsync(Console.Out, folder, FiveYears.Days);
        return 0;
    case ["five-years", var folder, var days] when int.TryParse(days, out var number) && number is > 0 and <= FiveYears.Days:
        await FiveYears.MakeAsync(Console.Out, folder, number);
        return 0;
    case ["queries", var folder]:
        await QuerySpeed.PrintAsync(Console.Out, folder);
        return 0;
    case ["start", var folder]:
        await StartSpeed.PrintAsync(Console.Out, folder);
        return 0;
    case ["telemetry"]:
        await TelemetrySpeed.PrintAsync(Console.Out, 30, null);
        return 0;
    case ["telemetry", var days] when int.TryParse(days, out var number) && number is > 0 and <= 60:
        await TelemetrySpeed.PrintAsync(Console.Out, number, null);
        return 0;
    case ["telemetry", var days, var period] when int.TryParse(days, out var number) && number is > 0 and <= 60 && int.TryParse(period, out var seconds) && seconds is > 0 and <= 60:
        await TelemetrySpeed.PrintAsync(Console.Out, number, seconds);
        return 0;
    default:
        Console.Error.WriteLine("Usage: dotnet run -c Release --project tests/benchmarks/Phasekeeper.Benchmarks -- accuracy | fringes | kernels | decode | wind-accuracy [FROM_HOURS HOURS SEED] | wind-survey FIRST_SEED SEEDS | wind-speed | diary [DAYS] [--seed N] [--only events|quiet] [--step HOURS] [--keep FOLDER] | assess [ORBITS]... | winds [DAYS [--keep FOLDER]] | comparison | pages [DAYS [--keep FOLDER]] | full-day [--keep FOLDER] | five-years FOLDER [DAYS] | queries FOLDER | start FOLDER | telemetry [DAYS [SECONDS]]");
        return 2;
}
