namespace Phasekeeper.Web.Features;

/// <summary>What a person asked for cannot be done as asked; the message says what was found and what was expected. Nothing was changed.</summary>
public sealed class RequestRefusedException(string message) : InvalidOperationException(message);
