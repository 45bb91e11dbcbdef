using Phasekeeper.Pipeline.Stages;

namespace Phasekeeper.Web.Features.Data;

/// <summary>Kinds of work in words.</summary>
public static class WorkWords
{
    /// <summary>"hours to decode" for decodeHour; a kind without words of its own is split at its capitals.</summary>
    public static string Of(string kind) => kind switch
    {
        WorkKinds.Decode => "hours to decode",
        WorkKinds.ReadAuxiliary => "files to read",
        WorkKinds.Retrieve => "hours to retrieve",
        WorkKinds.Orbit => "orbits",
        WorkKinds.OrbitAgain => "orbits again",
        WorkKinds.Winds => "orbits' winds",
        WorkKinds.Vectors => "orbits' wind vectors",
        WorkKinds.WindUse => "orbits' winds to condense and compare",
        WorkKinds.ZeroWind => "days' zero winds",
        WorkKinds.Assess => "orbits to assess",
        _ => string.Concat(kind.Select((c, i) => char.IsUpper(c) && i > 0 ? " " + char.ToLowerInvariant(c) : $"{c}")),
    };
}
