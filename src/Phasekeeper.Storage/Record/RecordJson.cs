using System.Text.Encodings.Web;
using System.Text.Json;
using System.Text.Json.Serialization;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>How "before" and "after" become text: JSON in one line, camelCase, times as ISO 8601 UTC, bytes as small hexadecimal digits, missing numbers as null.</summary>
internal static class RecordJson
{
    private static readonly JsonSerializerOptions Options = new(JsonSerializerDefaults.Web)
    {
        // Read by people and hashed, never put into HTML as it stands.
        Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping,
        Converters = { new InstantConverter(), new BytesConverter(), new NumberConverter(), new JsonStringEnumConverter(JsonNamingPolicy.CamelCase) },
    };

    public static string? Text(object? value) => value is null ? null : JsonSerializer.Serialize(value, value.GetType(), Options);

    private sealed class InstantConverter : JsonConverter<Instant>
    {
        public override Instant Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options) => throw new NotSupportedException("The record is written, not read back into objects.");

        // Ends of time stand for "from the beginning" and "for good".
        public override void Write(Utf8JsonWriter writer, Instant value, JsonSerializerOptions options)
        {
            if (value == Instant.MinValue || value == Instant.MaxValue) writer.WriteNullValue();
            else writer.WriteStringValue(value.ToString());
        }
    }

    private sealed class BytesConverter : JsonConverter<byte[]>
    {
        public override byte[] Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options) => throw new NotSupportedException("The record is written, not read back into objects.");

        public override void Write(Utf8JsonWriter writer, byte[] value, JsonSerializerOptions options) => writer.WriteStringValue(Convert.ToHexStringLower(value));
    }

    private sealed class NumberConverter : JsonConverter<double>
    {
        public override double Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options) => throw new NotSupportedException("The record is written, not read back into objects.");

        public override void Write(Utf8JsonWriter writer, double value, JsonSerializerOptions options)
        {
            if (double.IsFinite(value)) writer.WriteNumberValue(value);
            else writer.WriteNullValue();
        }
    }
}
