using System.Globalization;
using System.Text.Json.Nodes;
using Phasekeeper.Core.Coefficients;

namespace Phasekeeper.Web.Features.Coefficients;

/// <summary>A number of a set that a person gives another value.</summary>
/// <param name="Of">The number as it is.</param>
/// <param name="Value">What it is to be, in the same unit.</param>
public sealed record HandChange(CoefficientNumber Of, double Value);

/// <summary>Changes by hand as the text that everybody proposes by (see <see cref="Pipeline.Coefficients.ProposalReader"/>).</summary>
public static class HandChanges
{
    /// <summary>The proposal's JSON.</summary>
    /// <param name="set">The set that the changes begin from: its number.</param>
    /// <param name="name">Name of the new set.</param>
    /// <param name="validFrom">From when it is meant.</param>
    /// <param name="reason">Why.</param>
    /// <param name="changes">Changes.</param>
    public static string Body(long set, string? name, Core.Time.Instant validFrom, string? reason, IEnumerable<HandChange> changes)
    {
        ArgumentNullException.ThrowIfNull(changes);
        return new JsonObject
        {
            ["base"] = set,
            ["name"] = name,
            ["validFrom"] = validFrom.ToString(),
            ["reason"] = reason,
            ["changes"] = new JsonArray([.. changes.Select(Change)]),
        }.ToJsonString();
    }

    private static JsonObject Change(HandChange change)
    {
        var json = new JsonObject { ["number"] = change.Of.Number, ["value"] = change.Value };
        if (change.Of.View is { } view) json["view"] = view;
        if (change.Of.Line is { } line) json["line"] = line;
        if (change.Of.Index is { } index) json["index"] = new JsonArray([.. index.Split(',').Select(i => JsonValue.Create(int.Parse(i, CultureInfo.InvariantCulture)))]);
        return json;
    }
}
