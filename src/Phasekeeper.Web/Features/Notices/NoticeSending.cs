using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.Notices;

/// <summary>A message did not get through.</summary>
/// <param name="message">What was found and expected; no secrets.</param>
/// <param name="isFinal">Whether trying again is of no use.</param>
public sealed class NoticeSendException(string message, bool isFinal = false) : Exception(message)
{
    /// <summary>Whether trying again is of no use.</summary>
    public bool IsFinal => isFinal;

    /// <summary>Whether the receiver did not answer in time.</summary>
    public bool IsTimeOut { get; init; }
}

/// <summary>A road for messages.</summary>
public interface INoticeSender
{
    /// <summary>Word of the channel, as it is stored.</summary>
    string Channel { get; }

    /// <summary>Sends a message; returns once the receiver has taken it.</summary>
    /// <exception cref="NoticeSendException">It did not.</exception>
    Task SendAsync(NoticeMessageRow message, string? key, CancellationToken cancel);
}
