using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.Notices;

/// <summary>Whether a message that is in the queue, perhaps for hours since its receiver was away, is still worth sending.</summary>
/// <param name="stores">Stores.</param>
/// <param name="people">Names of the people who may sign in now.</param>
public sealed class NoticeNeed(Stores stores, Func<IEnumerable<string>> people)
{
    /// <summary>Why a message need not go out any more; null when it must.</summary>
    public string? WhyNot(NoticeMessageRow message)
    {
        ArgumentNullException.ThrowIfNull(message);
        if (!people().Contains(message.Person, StringComparer.Ordinal)) return $"Not sent: {message.Person} is locked or has no role any more.";
        var told = stores.Notices.EventsOf(message);
        // What a message tells besides is told: only one of which nothing holds any more stays behind.
        return told.Count > 0 && told.All(e => !e.IsNeeded(stores.FlagLives.Get(e.Flag).Shown)) ? "Not sent: before it could be delivered somebody took the flag, or it was withdrawn." : null;
    }
}
