using System.ComponentModel;
using System.Globalization;
using Microsoft.AspNetCore.Mvc;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Web.Api.Lists;

/// <summary>
/// The query parameters that every list understands; use with [AsParameters]. They are text here so that a mistake is answered
/// with what was found and expected: <see cref="Read"/> checks them.
/// </summary>
public sealed record ListQuery
{
    /// <summary>Rows of an answer when no limit is asked for.</summary>
    public const int DefaultLimit = 10_000;

    /// <summary>Largest limit.</summary>
    public const int LargestLimit = 1_000_000;

    /// <summary>First time, inclusive.</summary>
    [FromQuery(Name = "from"), Description("First time, inclusive; ISO 8601 UTC. Default: the beginning.")]
    public string? From { get; init; }

    /// <summary>Last time, exclusive.</summary>
    [FromQuery(Name = "to"), Description("Last time, exclusive; ISO 8601 UTC. Default: the end.")]
    public string? To { get; init; }

    /// <summary>Most rows in one answer.</summary>
    [FromQuery(Name = "limit"), Description("Most rows in one answer, 1 to 1,000,000. Default: 10,000.")]
    public string? Limit { get; init; }

    /// <summary>Continuation of an earlier answer.</summary>
    [FromQuery(Name = "next"), Description("The 'next' of an earlier answer of the same list, to go on behind it.")]
    public string? Next { get; init; }

    /// <summary>Answer as a file.</summary>
    [FromQuery(Name = "format"), Description("csv: the same as Accept: text/csv, for links in a browser.")]
    public string? Format { get; init; }

    /// <summary>Checks the parameters; throws <see cref="ApiProblemException"/> (400) with what was found and expected.</summary>
    public ListRange Read()
    {
        var from = TimeParameter.Read("from", From) ?? Instant.MinValue;
        var to = TimeParameter.Read("to", To) ?? Instant.MaxValue;
        if (to < from) throw ApiProblems.BadRequest(ApiTexts.RangeReversed(From ?? "", To ?? ""));
        var limit = DefaultLimit;
        if (!string.IsNullOrEmpty(Limit)
            && (!int.TryParse(Limit, NumberStyles.None, CultureInfo.InvariantCulture, out limit) || limit is < 1 or > LargestLimit))
            throw ApiProblems.BadRequest(ApiTexts.BadLimit(Limit, LargestLimit));
        if (!string.IsNullOrEmpty(Format) && Format is not ("csv" or "json"))
            throw ApiProblems.BadRequest(ApiTexts.UnknownWord("format", Format, ["csv", "json"]));
        return new ListRange(from, to, limit, string.IsNullOrEmpty(Next) ? null : Next);
    }
}

/// <summary>A checked <see cref="ListQuery"/>.</summary>
/// <param name="From">Inclusive; <see cref="Instant.MinValue"/> when not given.</param>
/// <param name="To">Exclusive; <see cref="Instant.MaxValue"/> when not given.</param>
/// <param name="Limit">Most rows.</param>
/// <param name="Next">Opaque continuation; null at the start.</param>
public readonly record struct ListRange(Instant From, Instant To, int Limit, string? Next);

/// <summary>Times in a query.</summary>
public static class TimeParameter
{
    /// <summary>Null when the parameter is absent or empty; throws <see cref="ApiProblemException"/> when it is no time.</summary>
    public static Instant? Read(string name, string? text) => string.IsNullOrEmpty(text) ? null
        : Instant.TryParseUtc(text, out var time) ? time
        : throw ApiProblems.BadRequest(ApiTexts.BadTime(name, text));
}

/// <summary>Words in a query that stand for an enumeration's members.</summary>
public static class WordParameter
{
    /// <summary>Null when absent; throws <see cref="ApiProblemException"/> with the known words when it is none of them.</summary>
    public static TEnum? Read<TEnum>(string name, string? text) where TEnum : struct, Enum
    {
        if (string.IsNullOrEmpty(text)) return null;
        foreach (var value in Enum.GetValues<TEnum>())
            if (ApiWords.Of(value).Equals(text, StringComparison.OrdinalIgnoreCase)) return value;
        throw ApiProblems.BadRequest(ApiTexts.UnknownWord(name, text, Enum.GetValues<TEnum>().Select(value => ApiWords.Of(value))));
    }
}
