using System.Text.Json;
using System.Text.Json.Serialization;

namespace Phasekeeper.Core.Text;

/// <summary>NaN and infinities mean "no number": JSON has no word for them, so null is written and read.</summary>
public sealed class MissingNumberConverter : JsonConverter<double>
{
    /// <inheritdoc/>
    public override bool HandleNull => true;

    /// <inheritdoc/>
    public override double Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options) =>
        reader.TokenType == JsonTokenType.Null ? double.NaN : reader.GetDouble();

    /// <inheritdoc/>
    public override void Write(Utf8JsonWriter writer, double value, JsonSerializerOptions options)
    {
        if (double.IsFinite(value)) writer.WriteNumberValue(value);
        else writer.WriteNullValue();
    }
}
