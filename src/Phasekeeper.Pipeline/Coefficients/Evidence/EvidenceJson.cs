using System.Text.Json;
using System.Text.Json.Serialization;
using Phasekeeper.Core.Coefficients.Evidence;
using Phasekeeper.Core.Text;

namespace Phasekeeper.Pipeline.Coefficients.Evidence;

/// <summary>The stored text of a proposal's evidence: JSON, camelCase, times as ISO 8601 UTC, missing numbers as null.</summary>
public static class EvidenceJson
{
    internal static readonly JsonSerializerOptions Options = new()
    {
        PropertyNamingPolicy = JsonNamingPolicy.CamelCase,
        DefaultIgnoreCondition = JsonIgnoreCondition.WhenWritingNull,
        Converters = { new JsonStringEnumConverter(JsonNamingPolicy.CamelCase), new InstantConverter(), new MissingNumberConverter() },
    };

    /// <summary>The text.</summary>
    public static string Write(ProposalEvidence evidence) => JsonSerializer.Serialize(evidence, Options);

    /// <summary>The evidence of a text; null for a text of another form, such as what an older version of the program wrote.</summary>
    public static ProposalEvidence? Read(string text)
    {
        try
        {
            return JsonSerializer.Deserialize<ProposalEvidence>(text, Options) is { Version: 1 } evidence ? evidence : null;
        }
        catch (JsonException)
        {
            return null;
        }
    }
}
