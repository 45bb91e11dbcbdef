using System.Data;
using System.Globalization;
using Dapper;

namespace Phasekeeper.Storage;

/// <summary>
/// SQLite keeps any type in any column unless a table is STRICT. A value of another type than its column's was put there by other hands, and cannot be read as what it should be.
/// </summary>
internal static class StoredTypes
{
    /// <summary>Tables that the record is compared with.</summary>
    public static readonly IReadOnlyList<string> Coefficients = ["coefficientSet", "coefficientDecision", "coefficientEvidence", "coefficientFit"];

    /// <summary>The record itself.</summary>
    public static readonly IReadOnlyList<string> Record = ["record"];

    /// <summary>Values of another type than their columns'; at most one finding a column.</summary>
    public static IReadOnlyList<RecordFinding> Findings(IDbConnection connection, IDbTransaction transaction, IReadOnlyList<string> tables)
    {
        List<RecordFinding> findings = [];
        foreach (var table in tables)
            foreach (var (name, type, notNull, key) in connection.Query<(string Name, string Type, long NotNull, long Key)>("SELECT name, type, \"notnull\", pk FROM pragma_table_info(@table)", new { table }, transaction).AsList())
            {
                string[] allowed = notNull == 1 || key > 0 ? [type.ToLowerInvariant()] : [type.ToLowerInvariant(), "null"];
                // Names come from the database's own schema; quotes within them are doubled.
                var column = name.Replace("\"", "\"\"", StringComparison.Ordinal);
                var odd = connection.Query<(long Row, string Type)>($"SELECT rowid, typeof(\"{column}\") FROM {table} WHERE typeof(\"{column}\") NOT IN @allowed LIMIT 1", new { allowed }, transaction).AsList();
                if (odd is [var (row, found)])
                    findings.Add(new("type", table == "record" ? row : 0, table == "record" ? row : 0, string.Create(CultureInfo.InvariantCulture, $"{table}.{name} of row {row} is of the type {found}."),
                        $"Expected {type.ToLowerInvariant()}: the program writes nothing else, so it was changed by other hands. What it said cannot be compared."));
            }
        return findings;
    }
}
