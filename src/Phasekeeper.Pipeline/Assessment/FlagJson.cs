using System.Text.Json;
using System.Text.Json.Serialization;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Time;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Assessment;

/// <summary>Turns a flag into its stored row and back. The row's body holds the whole flag; its columns are what lists are asked by.</summary>
public static class FlagJson
{
    private static readonly JsonSerializerOptions Options = new()
    {
        PropertyNamingPolicy = JsonNamingPolicy.CamelCase,
        NumberHandling = JsonNumberHandling.AllowNamedFloatingPointLiterals,
        DefaultIgnoreCondition = JsonIgnoreCondition.WhenWritingNull,
        Converters = { new JsonStringEnumConverter(JsonNamingPolicy.CamelCase), new InstantConverter() },
    };

    /// <summary>The flag of a row.</summary>
    public static Flag Read(FlagRow row) => JsonSerializer.Deserialize<Flag>(row.Body, Options)
        ?? throw new InvalidOperationException($"The stored body of flag {row.Id} is empty; expected a flag as JSON.");

    /// <summary>The row of a flag. <paramref name="raised"/>: when it was first raised.</summary>
    public static FlagRow Row(Flag flag, Instant raised, Instant changed) => new()
    {
        Id = flag.Id,
        Rule = flag.Thing.Rule,
        RuleVersion = flag.RuleVersion,
        Subject = flag.Thing.Subject,
        View = flag.Thing.View,
        Line = flag.Thing.Line,
        Severity = flag.Severity.ToString().ToLowerInvariant(),
        State = flag.State.ToString().ToLowerInvariant(),
        From = flag.From,
        To = flag.To,
        FirstOrbit = flag.FirstOrbit,
        LastOrbit = flag.LastOrbit,
        Value = double.IsNaN(flag.Value) ? null : flag.Value,
        Limit = double.IsNaN(flag.Limit) ? null : flag.Limit,
        Unit = flag.Unit,
        Message = flag.Message,
        Evidence = JsonSerializer.Serialize(flag.Evidence, Options),
        // What an activity explains only in part stays open: a slew of half an hour is no reason for a day of wrong pointing.
        ExplainedBy = flag.ExplainedBy.Where(e => e.Whole).Select(e => e.Summary).ToArray() is { Length: > 0 } whole ? string.Join("; ", whole) : null,
        CoefficientSet = flag.Evidence.CoefficientSet,
        Body = JsonSerializer.Serialize(flag, Options),
        Raised = raised,
        Changed = changed,
    };

    private sealed class InstantConverter : JsonConverter<Instant>
    {
        public override Instant Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options) => new(reader.GetInt64());

        public override void Write(Utf8JsonWriter writer, Instant value, JsonSerializerOptions options) => writer.WriteNumberValue(value.TaiNanoseconds);
    }
}
