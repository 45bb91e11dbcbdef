using System.Text.Json;
using System.Text.Json.Serialization;
using Phasekeeper.Core.Text;

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
}
