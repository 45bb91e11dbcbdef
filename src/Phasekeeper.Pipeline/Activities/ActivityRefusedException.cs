namespace Phasekeeper.Pipeline.Activities;

/// <summary>An activity was not entered, changed or cancelled; the message says why and what to do. Nothing was changed.</summary>
public class ActivityRefusedException(string message) : InvalidOperationException(message);

/// <summary>Somebody, or a calendar, came first: the activity is no longer what the person saw. Nothing was changed.</summary>
/// <param name="message">What it is now, and whose change that was.</param>
/// <param name="now">The activity as it is now.</param>
public sealed class ActivityConflictException(string message, ActivityEntry now) : ActivityRefusedException(message)
{
    /// <summary>The activity as it is now: with its revision the change can be sent again.</summary>
    public ActivityEntry Now { get; } = now;
}
