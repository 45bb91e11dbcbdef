using Phasekeeper.Core.Time;

namespace Phasekeeper.Demo.Scenario;

/// <summary>
/// Asks the chosen events what they do at a moment. Events of one kind that overlap add up (shifts, offsets) or multiply
/// (brightness, visibility, spike rate).
/// </summary>
public sealed class EventTimeline
{
    private readonly (ScenarioEvent Event, Instant From, Instant To)[] events;

    /// <summary>Timeline of <paramref name="chosen"/> events, which count from <paramref name="start"/>.</summary>
    public EventTimeline(Instant start, IEnumerable<ScenarioEvent> chosen) =>
        events = chosen.Select(e => (e, start.AddSeconds(e.StartHours * 3600),
            double.IsInfinity(e.EndHours) ? Instant.MaxValue : start.AddSeconds(e.EndHours * 3600))).ToArray();

    /// <summary>True while an event of the kind lasts.</summary>
    public bool IsActive(ScenarioEventKind kind, Instant time)
    {
        foreach (var (e, from, to) in events)
            if (e.Kind == kind && time >= from && time < to) return true;
        return false;
    }

    /// <summary>Sum of the sizes of the events of a kind that last at a moment (of a view, or of both).</summary>
    public double Sum(ScenarioEventKind kind, Instant time, string? view = null)
    {
        double sum = 0;
        foreach (var (e, from, to) in events)
            if (e.Kind == kind && time >= from && time < to && (e.View is null || e.View == view)) sum += e.Size;
        return sum;
    }

    /// <summary>Product of (1 − size) of the losses of a kind that last at a moment.</summary>
    public double Remaining(ScenarioEventKind kind, Instant time, string? view = null)
    {
        double product = 1;
        foreach (var (e, from, to) in events)
            if (e.Kind == kind && time >= from && time < to && (e.View is null || e.View == view)) product *= 1 - e.Size;
        return product;
    }

    /// <summary>The lost downlink that swallows what is measured at a moment; null when it arrives in time.</summary>
    public ScenarioEvent? LostDownlinkAt(Instant time)
    {
        foreach (var (e, from, to) in events)
            if (e.Kind == ScenarioEventKind.LostDownlink && time >= from && time < to) return e;
        return null;
    }

    /// <summary>Fraction of the span of <paramref name="seconds"/> that ends at <paramref name="time"/> in which the kind lasts.</summary>
    public double ActiveFraction(ScenarioEventKind kind, Instant time, double seconds)
    {
        double active = 0;
        foreach (var (e, from, to) in events)
        {
            if (e.Kind != kind) continue;
            var begin = time.AddSeconds(-seconds);
            var overlap = (to < time ? to : time) - (from > begin ? from : begin);
            if (overlap > 0) active += overlap / seconds;
        }
        return Math.Min(1, active);
    }
}
