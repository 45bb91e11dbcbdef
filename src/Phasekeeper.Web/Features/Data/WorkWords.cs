using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Web.Shared.Numbers;

namespace Phasekeeper.Web.Features.Data;

/// <summary>Work that waits, in words.</summary>
public static class WorkWords
{
    /// <summary>"1 hour to decode", "12 hours to decode" for decodeHour; a kind without words of its own is split at its capitals.</summary>
    public static string Of(string kind, long count)
    {
        var (one, many) = kind switch
        {
            WorkKinds.Decode => ("hour to decode", "hours to decode"),
            WorkKinds.ReadAuxiliary => ("file to read", "files to read"),
            WorkKinds.Retrieve => ("hour to retrieve", "hours to retrieve"),
            WorkKinds.Orbit => ("orbit to compute", "orbits to compute"),
            WorkKinds.OrbitAgain => ("orbit to compute again", "orbits to compute again"),
            WorkKinds.Winds => ("orbit's winds", "orbits' winds"),
            WorkKinds.Vectors => ("orbit's wind vectors", "orbits' wind vectors"),
            WorkKinds.WindUse => ("orbit's winds to condense and compare", "orbits' winds to condense and compare"),
            WorkKinds.ZeroWind => ("day's zero winds", "days' zero winds"),
            WorkKinds.TakeUpActivity => ("change of an activity to take up", "changes of activities to take up"),
            WorkKinds.TakeUpDecision => ("decision to take up", "decisions to take up"),
            WorkKinds.Reprocess => ("reprocessing with other coefficients", "reprocessings with other coefficients"),
            WorkKinds.Assess => ("orbit to assess", "orbits to assess"),
            _ => (Split(kind), Split(kind)),
        };
        return $"{NumberText.Whole(count)} {(count == 1 ? one : many)}";
    }

    private static string Split(string kind) => string.Concat(kind.Select((c, i) => char.IsUpper(c) && i > 0 ? " " + char.ToLowerInvariant(c) : $"{c}"));
}
