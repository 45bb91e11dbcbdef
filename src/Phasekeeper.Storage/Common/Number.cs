namespace Phasekeeper.Storage;

/// <summary>SQLite has no NaN: a number that does not exist is NULL in the database and NaN in the program.</summary>
internal static class Number
{
    public static double? OrNull(this double value) => double.IsNaN(value) ? null : value;

    public static double OrNaN(this double? value) => value ?? double.NaN;
}
