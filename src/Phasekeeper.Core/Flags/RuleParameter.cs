namespace Phasekeeper.Core.Flags;

/// <summary>How a parameter is written in rules.json.</summary>
public enum RuleParameterType
{
    /// <summary>A number.</summary>
    Number,
    /// <summary>A whole number.</summary>
    Integer,
    /// <summary>true or false; held as 1 or 0.</summary>
    Switch,
}

/// <summary>A parameter of a rule kind.</summary>
/// <param name="Name">Key in rules.json, camelCase.</param>
/// <param name="Unit">Unit; "1" for a pure number.</param>
/// <param name="Meaning">What it does, one sentence.</param>
/// <param name="Default">Value when absent; NaN = not set.</param>
/// <param name="Min">Smallest allowed.</param>
/// <param name="Max">Largest allowed.</param>
/// <param name="Type">How it is written.</param>
public sealed record RuleParameter(
    string Name, string Unit, string Meaning, double Default, double Min, double Max, RuleParameterType Type = RuleParameterType.Number)
{
    /// <summary>A switch.</summary>
    public static RuleParameter Switch(string name, string meaning, bool on) => new(name, "1", meaning, on ? 1 : 0, 0, 1, RuleParameterType.Switch);
    /// <summary>A whole number.</summary>
    public static RuleParameter Whole(string name, string unit, string meaning, int value, int min, int max) =>
        new(name, unit, meaning, value, min, max, RuleParameterType.Integer);
}
