using System.Xml.Linq;

namespace Phasekeeper.Packets.Xtce;

/// <summary>Reads sizes, counts and locations: FixedValue, or DynamicValue with an optional LinearAdjustment.</summary>
internal static class SizeReader
{
    public static SizeSpec Read(XElement holder, string systemPath, XtceReadContext context)
    {
        var fix = XtceReadContext.Child(holder, "FixedValue");
        var dynamic = XtceReadContext.Child(holder, "DynamicValue");
        foreach (var child in holder.Elements())
            if (child.Name.LocalName is not ("FixedValue" or "DynamicValue" or "TerminationChar"))
                context.Error(child, $"not supported inside <{holder.Name.LocalName}>; supported there: FixedValue, DynamicValue.");
        if (dynamic is not null) return ReadDynamic(dynamic, systemPath, context);
        if (fix is null)
        {
            context.Error(holder, "has no <FixedValue> or <DynamicValue>.");
            return new(0, null, 0, 0, false);
        }
        var value = context.Long(fix, fix.Value, 0, "the value");
        if (value is < -(1L << 30) or > 1L << 30)
        {
            context.Error(fix, $"the value {value} is out of range.");
            value = 0;
        }
        return new(value, null, 0, 0, false);
    }

    private static SizeSpec ReadDynamic(XElement dynamic, string systemPath, XtceReadContext context)
    {
        context.Allow(dynamic, ["ParameterInstanceRef", "LinearAdjustment"], []);
        var reference = XtceReadContext.Child(dynamic, "ParameterInstanceRef");
        if (reference is null)
        {
            context.Error(dynamic, "has no <ParameterInstanceRef>.");
            return new(0, null, 0, 0, false);
        }
        context.Allow(reference, [], ["parameterRef", "instance", "useCalibratedValue"]);
        CriteriaReader.CheckInstance(reference, context);
        double slope = 1, intercept = 0;
        if (XtceReadContext.Child(dynamic, "LinearAdjustment") is { } adjustment)
        {
            context.Allow(adjustment, [], ["slope", "intercept"]);
            // Schema defaults: slope 0, intercept 0; a slope that is left out would make every size constant.
            if (XtceReadContext.Text(adjustment, "slope") is null) context.Error(adjustment, "attribute slope is missing.");
            slope = context.Double(adjustment, "slope", 0);
            intercept = context.Double(adjustment, "intercept", 0);
        }
        var name = new NameRef(context.Required(reference, "parameterRef"), systemPath, XtceReadContext.LineOf(reference), reference.Name.LocalName);
        return new(0, name, slope, intercept, context.Bool(reference, "useCalibratedValue", true));
    }

    public static IReadOnlyList<DimensionSpec> ReadDimensions(XElement list, string systemPath, XtceReadContext context)
    {
        context.Allow(list, ["Dimension"], []);
        var dimensions = new List<DimensionSpec>();
        foreach (var dimension in XtceReadContext.Children(list, "Dimension"))
        {
            context.Allow(dimension, ["StartingIndex", "EndingIndex"], []);
            var start = XtceReadContext.Child(dimension, "StartingIndex");
            var end = XtceReadContext.Child(dimension, "EndingIndex");
            if (end is null) { context.Error(dimension, "has no <EndingIndex>."); continue; }
            var first = start is null ? new SizeSpec(0, null, 0, 0, false) : Read(start, systemPath, context);
            if (first.Parameter is not null) context.Error(start!, "a dynamic StartingIndex is not supported; expected <FixedValue>.");
            dimensions.Add(new(first, Read(end, systemPath, context)));
        }
        if (dimensions.Count == 0) context.Error(list, "has no <Dimension>.");
        return dimensions;
    }
}
