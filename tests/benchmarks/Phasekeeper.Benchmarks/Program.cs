using Phasekeeper.Benchmarks;

switch (args)
{
    case ["accuracy", ..]:
        AccuracyTable.Print(Console.Out);
        return 0;
    case ["fringes", ..]:
        FringeSpeed.Print(Console.Out);
        return 0;
    case ["decode", ..]:
        BenchmarkDotNet.Running.BenchmarkRunner.Run<DecodeBenchmarks>();
        return 0;
    case ["diary"]:
        await DiaryTable.PrintAsync(Console.Out, 30);
        return 0;
    case ["diary", var days] when int.TryParse(days, out var number) && number is > 0 and <= 30:
        await DiaryTable.PrintAsync(Console.Out, number);
        return 0;
    default:
        Console.Error.WriteLine("Usage: dotnet run -c Release --project tests/benchmarks/Phasekeeper.Benchmarks -- accuracy | fringes | decode | diary [DAYS]");
        return 2;
}
