using System.Text.Json;
using System.Text.Json.Serialization;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Text;

/// <summary>Times as ISO 8601 UTC.</summary>
public sealed class InstantConverter : JsonConverter<Instant>
{
    /// <inheritdoc/>
    public override Instant Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options) =>
        Instant.TryParseUtc(reader.GetString(), out var instant) ? instant
            : throw new JsonException($"Found the time '{reader.GetString()}'; expected ISO 8601 UTC such as 2031-03-01T12:00:00Z.");

    /// <inheritdoc/>
    public override void Write(Utf8JsonWriter writer, Instant value, JsonSerializerOptions options) =>
        writer.WriteStringValue(value.ToString());
}
