using System.Xml.Linq;

namespace Phasekeeper.Packets.Xtce;

/// <summary>Reads default alarms: static ranges of numbers, levels of labels.</summary>
internal static class AlarmReader
{
    private static readonly (string Name, AlarmLevel Level)[] RangeElements =
    [
        ("WatchRange", AlarmLevel.Watch), ("WarningRange", AlarmLevel.Warning), ("DistressRange", AlarmLevel.Distress),
        ("CriticalRange", AlarmLevel.Critical), ("SevereRange", AlarmLevel.Severe),
    ];

    private static readonly (string, AlarmLevel)[] LevelNames =
    [
        ("normal", AlarmLevel.Normal), ("watch", AlarmLevel.Watch), ("warning", AlarmLevel.Warning),
        ("distress", AlarmLevel.Distress), ("critical", AlarmLevel.Critical), ("severe", AlarmLevel.Severe),
    ];

    public static AlarmRanges? ReadRanges(XElement? alarm, XtceReadContext context)
    {
        if (alarm is null) return null;
        context.Allow(alarm, ["StaticAlarmRanges"], ["minViolations", "minConformance"]);
        var holder = XtceReadContext.Child(alarm, "StaticAlarmRanges");
        if (holder is null) return null;
        context.Allow(holder, [.. RangeElements.Select(r => r.Name)], ["rangeForm"]);
        var inside = context.OneOf(holder, "rangeForm", false, ("outside", false), ("inside", true));
        var ranges = new List<AlarmRange>();
        foreach (var (name, level) in RangeElements)
            if (XtceReadContext.Child(holder, name) is { } range) ranges.Add(ReadRange(range, level, context));
        return new(ranges, inside, context.Int(alarm, "minViolations", 1, 1, int.MaxValue));
    }

    private static AlarmRange ReadRange(XElement e, AlarmLevel level, XtceReadContext context)
    {
        context.Allow(e, [], ["minInclusive", "minExclusive", "maxInclusive", "maxExclusive"]);
        foreach (var end in (string[])["min", "max"])
            if (e.Attribute(end + "Inclusive") is not null && e.Attribute(end + "Exclusive") is not null)
                context.Error(e, $"has both {end}Inclusive and {end}Exclusive.");
        var minInclusive = e.Attribute("minInclusive") is not null;
        var maxInclusive = e.Attribute("maxInclusive") is not null;
        var min = context.Double(e, minInclusive ? "minInclusive" : "minExclusive", double.NegativeInfinity);
        var max = context.Double(e, maxInclusive ? "maxInclusive" : "maxExclusive", double.PositiveInfinity);
        if (min > max) context.Error(e, $"its minimum {min} is above its maximum {max}.");
        return new(level, min, minInclusive, max, maxInclusive);
    }

    public static EnumerationAlarms? ReadLabels(XElement? alarm, EnumerationTable? labels, XtceReadContext context)
    {
        if (alarm is null || labels is null) return null;
        context.Allow(alarm, ["EnumerationAlarmList"], ["defaultAlarmLevel", "minViolations", "minConformance"]);
        var otherwise = context.OneOf(alarm, "defaultAlarmLevel", AlarmLevel.Normal, LevelNames);
        var levels = new AlarmLevel[labels.Labels.Count];
        Array.Fill(levels, otherwise);
        var list = XtceReadContext.Child(alarm, "EnumerationAlarmList");
        if (list is not null) context.Allow(list, ["EnumerationAlarm"], []);
        foreach (var e in list is null ? [] : XtceReadContext.Children(list, "EnumerationAlarm"))
        {
            context.Allow(e, [], ["alarmLevel", "enumerationLabel", "enumerationValue"]);
            var label = XtceReadContext.Text(e, "enumerationLabel") ?? context.Required(e, "enumerationValue");
            var index = labels.IndexOfLabel(label);
            context.Required(e, "alarmLevel");
            if (index < 0) context.Error(e, $"label '{label}' is not in the type's <EnumerationList>: {string.Join(", ", labels.Labels)}.");
            else levels[index] = context.OneOf(e, "alarmLevel", AlarmLevel.Normal, LevelNames);
        }
        return new(levels, otherwise, context.Int(alarm, "minViolations", 1, 1, int.MaxValue));
    }
}
