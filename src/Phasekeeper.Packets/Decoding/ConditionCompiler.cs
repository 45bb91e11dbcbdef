using System.Globalization;
using Phasekeeper.Packets.Xtce;

namespace Phasekeeper.Packets.Decoding;

/// <summary>Turns written comparisons into tests on slots, so that no text is parsed while packets run.</summary>
internal sealed class ConditionCompiler(SlotTable slots, PlanTables tables, XtceReadContext context)
{
    /// <summary>Index of the condition; −1 when there is nothing to test.</summary>
    public int Compile(IReadOnlyList<ComparisonSpec> comparisons)
    {
        if (comparisons.Count == 0) return -1;
        tables.Conditions.Add([.. comparisons.Select(CompileOne)]);
        return tables.Conditions.Count - 1;
    }

    /// <summary>A size; its parameter must be a number.</summary>
    public DynamicSize Compile(SizeSpec size)
    {
        if (size.Parameter is null) return new(size.Fixed, -1, 0, 0, false);
        var slot = slots.SlotOf(size.Parameter);
        if (slot >= 0 && tables.Slots[slot].Type.Kind is not (ParameterKind.Integer or ParameterKind.Float))
            context.Error(size.Parameter.Line, size.Parameter.Element, $"'{size.Parameter.Text}' is no number.");
        return new(0, slot, size.Slope, size.Intercept, size.UseCalibrated);
    }

    private CompiledComparison CompileOne(ComparisonSpec spec)
    {
        var op = spec.Operator switch
        {
            "==" => CompareOp.Equal,
            "!=" => CompareOp.NotEqual,
            "<" => CompareOp.Less,
            "<=" => CompareOp.LessOrEqual,
            ">" => CompareOp.Greater,
            _ => CompareOp.GreaterOrEqual,
        };
        var index = slots.SlotOf(spec.Parameter);
        if (index < 0) return default;
        var slot = tables.Slots[index];
        var result = new CompiledComparison(index, op, CompareMode.Integer, spec.UseCalibrated, 0, 0, -1, spec.Value);
        void Fail(string message) => context.Error(spec.Line, "Comparison", message);
        void OnlyEquality()
        {
            if (op is not (CompareOp.Equal or CompareOp.NotEqual)) Fail($"comparisonOperator=\"{spec.Operator}\" on {slot.Name}, which is no number; expected == or !=.");
        }
        switch (slot.Type.Kind)
        {
            case ParameterKind.String:
                OnlyEquality();
                return result with { Mode = CompareMode.Text };
            case ParameterKind.Binary:
                Fail($"comparing the binary parameter {slot.Name} is not supported.");
                return result;
            case ParameterKind.AbsoluteTime when spec.UseCalibrated:
                Fail($"comparing the time {slot.Name} is not supported; its raw value can be compared with useCalibratedValue=\"false\".");
                return result;
        }
        if (slot.Type.Labels is { } labels && spec.UseCalibrated)
        {
            OnlyEquality();
            var text = spec.Value;
            if (slot.Type.Kind == ParameterKind.Boolean && labels.IndexOfLabel(text) < 0)
            {
                if (text is "1" || text.Equals("true", StringComparison.OrdinalIgnoreCase)) text = labels.Labels[labels.IndexOf(1)];
                else if (text is "0" || text.Equals("false", StringComparison.OrdinalIgnoreCase)) text = labels.Labels[labels.IndexOf(0)];
            }
            var label = labels.IndexOfLabel(text);
            if (label < 0) Fail($"{slot.Name} has no label '{spec.Value}'; its labels are {string.Join(", ", labels.Labels)}. A raw value is compared with useCalibratedValue=\"false\".");
            return result with { Mode = CompareMode.Label, Label = label };
        }
        var calibrates = spec.UseCalibrated && (slot.Calibrator is not null || slot.Type.Number is { Contexts.Count: > 0 });
        if (!slot.IsReal && !calibrates && XtceReadContext.TryLong(spec.Value.Trim(), out var whole)) return result with { Integer = whole, Calibrated = false };
        if (double.TryParse(spec.Value, NumberStyles.Float, CultureInfo.InvariantCulture, out var number))
            return result with { Mode = CompareMode.Number, Number = number, Calibrated = calibrates };
        Fail($"value=\"{spec.Value}\" for {slot.Name}; expected a number.");
        return result;
    }
}
