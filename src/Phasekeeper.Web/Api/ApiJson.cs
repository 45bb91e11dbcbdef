using System.Text.Json;
using System.Text.Json.Serialization;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Web.Api;

/// <summary>How values are written in JSON: camelCase, times as ISO 8601 UTC, missing numbers as null, enumerations as the contract's words.</summary>
public static class ApiJson
{
    /// <summary>The one set of options for API answers and plot documents.</summary>
    public static readonly JsonSerializerOptions Options = Create();

    /// <summary>Applies the conventions to a set of options.</summary>
    public static void Configure(JsonSerializerOptions options)
    {
        options.PropertyNamingPolicy = JsonNamingPolicy.CamelCase;
        options.DictionaryKeyPolicy = null;
        options.Converters.Add(new InstantConverter());
        options.Converters.Add(new MissingNumberConverter());
        options.Converters.Add(new JsonStringEnumConverter(JsonNamingPolicy.CamelCase, allowIntegerValues: false));
    }

    private static JsonSerializerOptions Create()
    {
        var options = new JsonSerializerOptions(JsonSerializerDefaults.Web);
        Configure(options);
        options.MakeReadOnly(populateMissingResolver: true);
        return options;
    }

    private sealed class InstantConverter : JsonConverter<Instant>
    {
        public override Instant Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options) =>
            Instant.TryParseUtc(reader.GetString(), out var instant) ? instant
                : throw new JsonException($"Found the time '{reader.GetString()}'; expected ISO 8601 UTC such as 2031-03-01T12:00:00Z.");

        public override void Write(Utf8JsonWriter writer, Instant value, JsonSerializerOptions options) =>
            writer.WriteStringValue(value.ToString());
    }

    /// <summary>NaN and infinities mean "no number": JSON has no word for them, so null is written and read.</summary>
    private sealed class MissingNumberConverter : JsonConverter<double>
    {
        public override bool HandleNull => true;

        public override double Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options) =>
            reader.TokenType == JsonTokenType.Null ? double.NaN : reader.GetDouble();

        public override void Write(Utf8JsonWriter writer, double value, JsonSerializerOptions options)
        {
            if (double.IsFinite(value)) writer.WriteNumberValue(value);
            else writer.WriteNullValue();
        }
    }
}
