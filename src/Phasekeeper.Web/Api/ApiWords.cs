using System.Text.Json;

namespace Phasekeeper.Web.Api;

/// <summary>The contract's words for enumerations: the member's name in camelCase, the same in JSON, CSV and queries.</summary>
public static class ApiWords
{
    /// <summary>The word of a member.</summary>
    public static string Of<TEnum>(TEnum value) where TEnum : struct, Enum => JsonNamingPolicy.CamelCase.ConvertName(value.ToString());
}
