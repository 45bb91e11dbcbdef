using System.Globalization;
using Phasekeeper.Core.Input;

namespace Phasekeeper.Core.Coefficients;

/// <summary>Reads a flat field: one line a detector row, one positive number a sample, comma separated.</summary>
public static class FlatFieldReader
{
    /// <summary>[row][sample], or null with the mistakes added to <paramref name="errors"/>.</summary>
    public static double[][]? Read(string text, string file, int rows, int samples, List<InputError> errors)
    {
        var before = errors.Count;
        var lines = text.Split('\n').Select(l => l.TrimEnd('\r')).ToList();
        while (lines.Count > 0 && lines[^1].Length == 0) lines.RemoveAt(lines.Count - 1);
        if (lines.Count != rows) errors.Add(new(file, "the whole file", $"{lines.Count} lines", $"{rows} lines, one a detector row"));
        var flat = new double[lines.Count][];
        for (var r = 0; r < lines.Count && errors.Count < before + 20; r++) flat[r] = ReadLine(lines[r], r + 1, file, samples, errors);
        return errors.Count > before ? null : flat;
    }

    private static double[] ReadLine(string line, int number, string file, int samples, List<InputError> errors)
    {
        var fields = line.Split(',');
        if (fields.Length != samples)
        {
            errors.Add(new(file, $"line {number}", $"{fields.Length} numbers", $"{samples} numbers, one a sample"));
            return [];
        }
        var values = new double[samples];
        for (var i = 0; i < samples; i++)
            if (!double.TryParse(fields[i], NumberStyles.Float, CultureInfo.InvariantCulture, out values[i]) || !double.IsFinite(values[i]) || values[i] <= 0)
            {
                errors.Add(new(file, $"line {number}, field {i + 1}", $"\"{fields[i].Trim()}\"", "a number greater than 0"));
                return [];
            }
        return values;
    }
}
