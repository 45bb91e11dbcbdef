using Phasekeeper.Pipeline.Mission;

namespace Phasekeeper.Web.Api.Lists;

/// <summary>Query parameters that name a part of the mission's instrument. A name it does not have is refused with those that it has.</summary>
public static class MissionParameter
{
    /// <summary>Null when absent; throws <see cref="ApiProblemException"/> (400) for a view that the instrument does not have.</summary>
    public static string? View(MissionFolder mission, string? text)
    {
        ArgumentNullException.ThrowIfNull(mission);
        return Known("view", text, mission.Profile.Instrument?.Views.Select(v => v.Id));
    }

    /// <summary>As <see cref="View"/>, for a line.</summary>
    public static string? Line(MissionFolder mission, string? text)
    {
        ArgumentNullException.ThrowIfNull(mission);
        return Known("line", text, mission.Profile.Instrument?.Lines.Select(l => l.Id));
    }

    private static string? Known(string parameter, string? text, IEnumerable<string>? known)
    {
        if (string.IsNullOrEmpty(text)) return null;
        if (known is null) throw ApiProblems.BadRequest(ApiTexts.NoInstrument(parameter, text));
        var names = known.ToArray();
        return names.Contains(text, StringComparer.Ordinal) ? text : throw ApiProblems.BadRequest(ApiTexts.UnknownWord(parameter, text, names));
    }
}
