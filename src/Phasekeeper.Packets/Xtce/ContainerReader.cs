using System.Xml.Linq;

namespace Phasekeeper.Packets.Xtce;

/// <summary>Reads one sequence container.</summary>
internal static class ContainerReader
{
    public static ContainerSpec? Read(XElement e, string systemPath, XtceReadContext context)
    {
        if (e.Name.LocalName != "SequenceContainer")
        {
            context.Error(e, "not supported inside <ContainerSet>; supported there: SequenceContainer.");
            return null;
        }
        // The rate in the stream is a promise of the sender, not a matter of bits.
        context.Allow(e, ["EntryList", "BaseContainer", "DefaultRateInStream", "RateInStreamSet"], ["abstract", "idlePattern"]);
        var name = context.Required(e, "name");
        NameRef? baseContainer = null;
        IReadOnlyList<ComparisonSpec> criteria = [];
        if (XtceReadContext.Child(e, "BaseContainer") is { } holder)
        {
            context.Allow(holder, ["RestrictionCriteria"], ["containerRef"]);
            baseContainer = new(context.Required(holder, "containerRef"), systemPath, XtceReadContext.LineOf(holder), holder.Name.LocalName);
            if (XtceReadContext.Child(holder, "RestrictionCriteria") is { } restriction) criteria = CriteriaReader.Read(restriction, systemPath, context);
        }
        var entries = new List<EntrySpec>();
        var list = XtceReadContext.Child(e, "EntryList");
        if (list is null) context.Error(e, "has no <EntryList>.");
        foreach (var entry in list?.Elements() ?? [])
            if (ReadEntry(entry, systemPath, context) is { } read) entries.Add(read);
        return new ContainerSpec
        {
            Name = name,
            Path = systemPath + "/" + name,
            Line = XtceReadContext.LineOf(e),
            IsAbstract = context.Bool(e, "abstract", false),
            Description = XtceReadContext.Describe(e),
            Entries = entries,
            Base = baseContainer,
            Criteria = criteria,
        };
    }

    private static EntrySpec? ReadEntry(XElement e, string systemPath, XtceReadContext context)
    {
        var (kind, attribute) = e.Name.LocalName switch
        {
            "ParameterRefEntry" => (EntryKind.Parameter, "parameterRef"),
            "ArrayParameterRefEntry" => (EntryKind.Array, "parameterRef"),
            "ContainerRefEntry" => (EntryKind.Container, "containerRef"),
            _ => (EntryKind.Parameter, ""),
        };
        if (attribute.Length == 0)
        {
            context.Error(e, "this sort of entry is not supported; supported: ParameterRefEntry, ArrayParameterRefEntry, ContainerRefEntry.");
            return null;
        }
        context.Allow(e, kind == EntryKind.Array ? ["LocationInContainerInBits", "IncludeCondition", "DimensionList"] : ["LocationInContainerInBits", "IncludeCondition"], [attribute]);
        var fromStart = false;
        SizeSpec? location = null;
        if (XtceReadContext.Child(e, "LocationInContainerInBits") is { } place)
        {
            fromStart = context.OneOf(place, "referenceLocation", false, ("previousEntry", false), ("containerStart", true));
            location = SizeReader.Read(place, systemPath, context);
        }
        var include = XtceReadContext.Child(e, "IncludeCondition");
        var dimensions = XtceReadContext.Child(e, "DimensionList");
        var line = XtceReadContext.LineOf(e);
        return new(kind, new(context.Required(e, attribute), systemPath, line, e.Name.LocalName), fromStart, location,
            include is null ? [] : CriteriaReader.Read(include, systemPath, context),
            dimensions is null ? null : SizeReader.ReadDimensions(dimensions, systemPath, context), line);
    }
}
