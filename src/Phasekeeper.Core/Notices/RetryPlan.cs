using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Notices;

/// <summary>When a message that could not be delivered is tried again, and when it is given up.</summary>
public static class RetryPlan
{
    /// <summary>Wait after the first failure, seconds; doubled with each further one (chosen: greylisting mail servers ask for a minute or so).</summary>
    public const double FirstSeconds = 30;

    /// <summary>Longest wait, seconds (chosen: a receiver that is back is used within the hour).</summary>
    public const double LongestSeconds = 3600;

    /// <summary>A message is given up when it is older than this, hours (chosen: outages of a weekend's two days are outlived; RFC 5321 section 4.5.4.1 asks mail senders for days).</summary>
    public const double GiveUpHours = 72;

    /// <summary>Part of the wait that is random, so that receivers are not met by all messages at once.</summary>
    public const double Jitter = 0.2;

    /// <summary>The next try; null = given up.</summary>
    /// <param name="created">When the message was made.</param>
    /// <param name="attempts">Tries so far, from 1.</param>
    /// <param name="now">Wall clock.</param>
    /// <param name="uniform">A random number, 0…1.</param>
    public static Instant? Next(Instant created, int attempts, Instant now, double uniform)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(attempts, 1);
        var wait = Math.Min(LongestSeconds, FirstSeconds * Math.Pow(2, Math.Min(attempts - 1, 30)));
        var next = now.AddSeconds(wait * (1 - Jitter + 2 * Jitter * Math.Clamp(uniform, 0, 1)));
        return next - created > GiveUpHours * 3600 ? null : next;
    }
}
