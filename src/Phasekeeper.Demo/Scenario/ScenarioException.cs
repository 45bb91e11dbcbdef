namespace Phasekeeper.Demo.Scenario;

/// <summary>A scenario or a choice of its events that cannot be used; the message says where, what was found and what was expected.</summary>
public sealed class ScenarioException : Exception
{
    /// <inheritdoc/>
    public ScenarioException(string message) : base(message) { }
    /// <inheritdoc/>
    public ScenarioException(string message, Exception inner) : base(message, inner) { }
    /// <inheritdoc/>
    public ScenarioException() { }
}
