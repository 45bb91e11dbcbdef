using System.Xml.Linq;

namespace Phasekeeper.Packets.Xtce;

/// <summary>Reads match criteria: Comparison and ComparisonList (all must hold).</summary>
internal static class CriteriaReader
{
    public static IReadOnlyList<ComparisonSpec> Read(XElement holder, string systemPath, XtceReadContext context)
    {
        context.Allow(holder, ["Comparison", "ComparisonList"], []);
        var comparisons = new List<ComparisonSpec>();
        foreach (var e in XtceReadContext.Children(holder, "Comparison")) comparisons.Add(ReadOne(e, systemPath, context));
        foreach (var list in XtceReadContext.Children(holder, "ComparisonList"))
        {
            context.Allow(list, ["Comparison"], []);
            foreach (var e in XtceReadContext.Children(list, "Comparison")) comparisons.Add(ReadOne(e, systemPath, context));
        }
        if (comparisons.Count == 0 && !holder.Elements().Any()) context.Error(holder, "is empty; expected <Comparison> or <ComparisonList>.");
        return comparisons;
    }

    private static ComparisonSpec ReadOne(XElement e, string systemPath, XtceReadContext context)
    {
        context.Allow(e, [], ["parameterRef", "instance", "comparisonOperator", "value", "useCalibratedValue"]);
        CheckInstance(e, context);
        var operation = context.OneOf(e, "comparisonOperator", "==", ("==", "=="), ("!=", "!="), ("<", "<"), ("<=", "<="), (">", ">"), (">=", ">="));
        var line = XtceReadContext.LineOf(e);
        if (e.Attribute("value") is null) context.Error(e, "attribute value is missing.");
        return new(new(context.Required(e, "parameterRef"), systemPath, line, e.Name.LocalName), operation,
            e.Attribute("value")?.Value ?? "", context.Bool(e, "useCalibratedValue", true), line);
    }

    /// <summary>Only the newest instance within the packet (0) has a meaning when packets are decoded one by one.</summary>
    public static void CheckInstance(XElement e, XtceReadContext context)
    {
        if (XtceReadContext.Text(e, "instance") is not (null or "0"))
            context.Error(e, $"instance=\"{XtceReadContext.Text(e, "instance")}\" is not supported; supported: 0, the value in this packet.");
    }
}
