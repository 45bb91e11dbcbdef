using System.Text.Json;

namespace Phasekeeper.Web.Tests.Support;

/// <summary>Reads plots as the browser gets them.</summary>
public static class PlotJson
{
    /// <summary>A trace by its name.</summary>
    public static JsonElement Trace(this JsonElement plot, string name) => plot.GetProperty("traces").EnumerateArray().First(t => t.GetProperty("name").GetString() == name);

    /// <summary>Numbers of a trace's vector that are not missing.</summary>
    public static double[] Numbers(this JsonElement trace, string vector) => [.. trace.GetProperty(vector).EnumerateArray().Where(v => v.ValueKind == JsonValueKind.Number).Select(v => v.GetDouble())];
}
