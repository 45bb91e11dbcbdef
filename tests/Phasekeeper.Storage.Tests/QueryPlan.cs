using System.Text.RegularExpressions;
using Dapper;

namespace Phasekeeper.Storage.Tests;

/// <summary>What SQLite makes of a query.</summary>
internal static partial class QueryPlan
{
    /// <summary>The query is one search of an index from its lower bound on, in the order asked for: nothing is scanned or sorted.</summary>
    /// <param name="sql">The query; its parameters may be anything.</param>
    /// <param name="lowerBound">What the plan says of the index and its lower bound.</param>
    public static void IsOneSearch(string sql, string lowerBound) => Assert.Contains(lowerBound, Assert.Single(Of(sql)), StringComparison.Ordinal);

    /// <summary>The query is these searches, one within the other, the outer one in the order asked for: nothing is scanned or sorted.</summary>
    /// <param name="sql">The query; its parameters may be anything.</param>
    /// <param name="searches">What the plan says of each index.</param>
    public static void IsSearches(string sql, params string[] searches)
    {
        var plan = Of(sql);
        Assert.True(plan.Count == searches.Length && plan.Zip(searches).All(p => p.First.StartsWith("SEARCH", StringComparison.Ordinal) && p.First.Contains(p.Second, StringComparison.Ordinal)), string.Join('\n', plan));
    }

    private static List<string> Of(string sql)
    {
        using var temp = new TempStores();
        var parameters = new DynamicParameters();
        foreach (Match name in Parameter().Matches(sql)) parameters.Add(name.Value, 1L);
        return temp.Stores.Database.Read(c => c.Query("EXPLAIN QUERY PLAN " + sql, parameters).Select(r => (string)r.detail).ToList());
    }

    [GeneratedRegex("@[A-Za-z]+")]
    private static partial Regex Parameter();
}
