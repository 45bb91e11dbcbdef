namespace Phasekeeper.Web.Features.Notices;

/// <summary>A wish about notices that cannot be granted; the message says why and what to do.</summary>
public sealed class NoticeException(string message) : Exception(message);
