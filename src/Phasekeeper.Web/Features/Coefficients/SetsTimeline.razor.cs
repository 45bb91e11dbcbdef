using System.Globalization;
using Microsoft.AspNetCore.Components;
using Phasekeeper.Core.Coefficients.Evidence;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Coefficients;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.People;
using Phasekeeper.Web.Shared.Numbers;
using Phasekeeper.Web.Shared.Times;

namespace Phasekeeper.Web.Features.Coefficients;

/// <summary>Which set is in force when, all sets with who and why, and going back to one.</summary>
public sealed partial class SetsTimeline(CoefficientDesk desk, ICurrentActor actor)
{
    private long chosen;
    private int? orbit;
    private string? reason;
    private string? refusal;
    private bool busy;
    private (DecisionOutcome Outcome, ReprocessingOutlook Again)? outlook;

    /// <summary>All sets.</summary>
    [Parameter, EditorRequired]
    public IReadOnlyList<CoefficientSetItem> Sets { get; set; } = [];

    /// <summary>Stretches, ascending.</summary>
    [Parameter, EditorRequired]
    public IReadOnlyList<DecidedStretch> Timeline { get; set; } = [];

    /// <summary>Called when something was decided.</summary>
    [Parameter]
    public EventCallback OnChanged { get; set; }

    // Sets that can come back: approved once, and another one is in force.
    private IReadOnlyList<CoefficientSetItem> Former =>
        Timeline.Count < 2 && Sets.Count < 2 ? [] : [.. Sets.Where(s => s.State is CoefficientDecision.Approved or CoefficientDecision.Reinstated && s.Id != Timeline[^1].SetId)];

    // What going back would do, as it is shown before the click. It stays as it was shown until the form or the page's own reading of it changes: what is in force is sent along as seen.
    private void Look()
    {
        (outlook, refusal) = (null, null);
        if (chosen == 0) return;
        try
        {
            var request = new DecisionRequest { FromOrbit = orbit };
            outlook = (desk.Outlook(chosen, request), desk.Again(chosen, request));
        }
        catch (DecisionRefusedException refused)
        {
            refusal = refused.Message;
        }
    }

    private string Words((DecisionOutcome Outcome, ReprocessingOutlook Again) would)
    {
        var (outcome, again) = would;
        var from = outcome.Orbit is { } number ? string.Create(CultureInfo.InvariantCulture, $"orbit {number} ({UtcText.DateAndMinute(outcome.From)} UTC)") : outcome.From == Instant.MinValue ? "the beginning" : $"{UtcText.DateAndMinute(outcome.From)} UTC";
        var takes = double.IsFinite(again.EstimatedS) ? $"some {DurationText.Short(again.EstimatedS)}" : "a time that nothing here tells";
        return $"It would put {CoefficientsQueries.Named(chosen, Sets)} in force from {from} in place of {CoefficientsQueries.Named(outcome.InPlaceOf, Sets)}, {(outcome.To is { } to ? $"until {UtcText.DateAndMinute(to)} UTC, where the next entry begins" : "and until further notice")}. "
            + (again.Orbits == 0 ? "No orbit with data lies there, so nothing is made again." : $"{NumberText.Whole(again.Orbits)} {(again.Orbits == 1 ? "orbit is" : "orbits are")} made again, which takes {takes}. {again.Basis}")
            + " Phasekeeper advises; the mission's flight rules come first.";
    }

    private async Task ReinstateAsync()
    {
        (busy, refusal) = (true, null);
        try
        {
            refusal = await Refusals.OfAsync(async () =>
            {
                // From where, and in place of what, as shown: a decision that came between is told, not overridden.
                var seen = outlook!.Value.Outcome;
                await desk.ReinstateAsync(chosen, new() { Reason = reason, FromOrbit = seen.Orbit, From = seen.Orbit is null ? seen.From : null, InPlaceOf = seen.InPlaceOf }, await actor.GetAsync(Roles.CalibrationLead));
                (chosen, orbit, reason, outlook) = (0, null, null, null);
            });
        }
        finally
        {
            busy = false;
        }
        if (refusal is { } why)
        {
            Look();
            refusal = why;
        }
        await OnChanged.InvokeAsync();
    }
}
