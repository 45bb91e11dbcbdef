using Microsoft.AspNetCore.Components;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Thresholds;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Coefficients;
using Phasekeeper.Web.Features.People;

namespace Phasekeeper.Web.Features.Thresholds;

/// <summary>Events that people noted by hand, and the form to note one.</summary>
public sealed partial class KnownEventsPanel(KnownEvents desk, ICurrentActor actor)
{
    private string? what, rule, from, to, note, refusal;
    private bool busy;

    /// <summary>Events that are not withdrawn, by their start.</summary>
    [Parameter, EditorRequired]
    public IReadOnlyList<KnownEventRow> Events { get; set; } = [];

    /// <summary>Rules in force.</summary>
    [Parameter, EditorRequired]
    public IReadOnlyList<RuleItem> Rules { get; set; } = [];

    /// <summary>Called when it was tried.</summary>
    [Parameter]
    public EventCallback OnChanged { get; set; }

    private async Task NoteAsync()
    {
        (busy, refusal) = (true, null);
        try
        {
            refusal = await Refusals.OfAsync(async () => await desk.NoteAsync(new(rule, Time(from), Time(to), what, note), await actor.GetAsync(Roles.Analyst)));
            if (refusal is null) (what, from, to, note) = (null, null, null, null);
        }
        finally
        {
            busy = false;
        }
        await OnChanged.InvokeAsync();
    }

    private static Instant? Time(string? text) => Instant.TryParseUtc(text, out var time) ? time : null;
}
