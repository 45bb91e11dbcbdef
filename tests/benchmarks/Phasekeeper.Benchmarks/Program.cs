using Phasekeeper.Benchmarks;

switch (args)
{
    case ["accuracy", ..]:
        AccuracyTable.Print(Console.Out);
        return 0;
    case ["fringes", ..]:
        FringeSpeed.Print(Console.Out);
        return 0;
    default:
        Console.Error.WriteLine("Usage: dotnet run -c Release --project tests/benchmarks/Phasekeeper.Benchmarks -- accuracy | fringes");
        return 2;
}
