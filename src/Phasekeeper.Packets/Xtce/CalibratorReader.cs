using System.Xml.Linq;

namespace Phasekeeper.Packets.Xtce;

/// <summary>Reads calibrators: polynomial and spline (orders 0 and 1), and those that hold in a context.</summary>
internal static class CalibratorReader
{
    private const int HighestPower = 32;

    /// <summary>The calibrator inside a DefaultCalibrator or Calibrator element; null (with an error) when it cannot be read.</summary>
    public static Calibrator? Read(XElement holder, XtceReadContext context)
    {
        context.Allow(holder, ["PolynomialCalibrator", "SplineCalibrator"], []);
        if (XtceReadContext.Child(holder, "PolynomialCalibrator") is { } polynomial) return ReadPolynomial(polynomial, context);
        if (XtceReadContext.Child(holder, "SplineCalibrator") is { } spline) return ReadSpline(spline, context);
        if (!holder.Elements().Any()) context.Error(holder, "is empty; expected <PolynomialCalibrator> or <SplineCalibrator>.");
        return null;
    }

    public static IReadOnlyList<ContextCalibratorSpec> ReadContexts(XElement list, string systemPath, XtceReadContext context)
    {
        context.Allow(list, ["ContextCalibrator"], []);
        var contexts = new List<ContextCalibratorSpec>();
        foreach (var item in XtceReadContext.Children(list, "ContextCalibrator"))
        {
            context.Allow(item, ["ContextMatch", "Calibrator"], []);
            var match = XtceReadContext.Child(item, "ContextMatch");
            var holder = XtceReadContext.Child(item, "Calibrator");
            if (match is null) { context.Error(item, "has no <ContextMatch>."); continue; }
            if (holder is null) { context.Error(item, "has no <Calibrator>."); continue; }
            var comparisons = CriteriaReader.Read(match, systemPath, context);
            if (Read(holder, context) is { } calibrator && comparisons.Count > 0) contexts.Add(new(comparisons, calibrator));
        }
        return contexts;
    }

    private static PolynomialCalibrator ReadPolynomial(XElement e, XtceReadContext context)
    {
        context.Allow(e, ["Term"], []);
        var coefficients = new double[HighestPower + 1];
        var highest = -1;
        foreach (var term in XtceReadContext.Children(e, "Term"))
        {
            context.Allow(term, [], ["coefficient", "exponent"]);
            context.Required(term, "coefficient");
            context.Required(term, "exponent");
            var power = context.Int(term, "exponent", 0, 0, HighestPower);
            coefficients[power] += context.Double(term, "coefficient", 0);
            highest = Math.Max(highest, power);
        }
        if (highest < 0) context.Error(e, "has no <Term>.");
        return new(coefficients[..Math.Max(1, highest + 1)]);
    }

    private static SplineCalibrator? ReadSpline(XElement e, XtceReadContext context)
    {
        context.Allow(e, ["SplinePoint"], ["order", "extrapolate"]);
        var order = context.Int(e, "order", 1, 0, 1);
        var points = new List<(double, double)>();
        foreach (var point in XtceReadContext.Children(e, "SplinePoint"))
        {
            context.Allow(point, [], ["raw", "calibrated", "order"]);
            context.Required(point, "raw");
            context.Required(point, "calibrated");
            if (context.Int(point, "order", order, 0, 1) != order && XtceReadContext.Text(e, "order") is not null)
                context.Error(point, $"its own order differs from the spline's ({order}); one order a spline is supported.");
            points.Add((context.Double(point, "raw", 0), context.Double(point, "calibrated", 0)));
        }
        try
        {
            return new SplineCalibrator(points, order, context.Bool(e, "extrapolate", false));
        }
        catch (ArgumentException error)
        {
            context.Error(e, error.Message);
            return null;
        }
    }
}
