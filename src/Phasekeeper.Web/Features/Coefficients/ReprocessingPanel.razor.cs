using Microsoft.AspNetCore.Components;
using Phasekeeper.Pipeline.Coefficients;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.People;

namespace Phasekeeper.Web.Features.Coefficients;

/// <summary>What decisions make again: progress, hold, and giving up the winds of before.</summary>
public sealed partial class ReprocessingPanel(ReprocessingControl control, ICurrentActor actor)
{
    // Chosen: a month; older ones are counted.
    private const int MostDays = 31;
    private string? refusal;
    // A reason each: one is not given for another.
    private readonly Dictionary<long, string?> reasons = [];
    private bool busy;

    /// <summary>What decisions make again, newest first.</summary>
    [Parameter, EditorRequired]
    public IReadOnlyList<ReprocessingItem> Items { get; set; } = [];

    /// <summary>All sets.</summary>
    [Parameter, EditorRequired]
    public IReadOnlyList<CoefficientSetItem> Sets { get; set; } = [];

    /// <summary>Days that still have something of before.</summary>
    [Parameter, EditorRequired]
    public IReadOnlyList<(DateOnly Day, int Old, int All)> OldDays { get; set; } = [];

    /// <summary>Whether it is held.</summary>
    [Parameter]
    public bool Paused { get; set; }

    /// <summary>Whether a decision waits to be taken up: which orbits it touches is not known yet.</summary>
    [Parameter]
    public bool TakingUp { get; set; }

    /// <summary>Called when something was done.</summary>
    [Parameter]
    public EventCallback OnChanged { get; set; }

    private IReadOnlyList<ReprocessingItem> Open => [.. Items.Where(i => i.Finished is null)];

    private Task ToggleAsync() => DoAsync(by => Paused ? control.ResumeAsync(by, null) : control.PauseAsync(by, null));

    private Task RetireAsync(long decision) => DoAsync(async by =>
    {
        await control.RetireAsync(decision, by, reasons.GetValueOrDefault(decision));
        reasons.Remove(decision);
    });

    private async Task DoAsync(Func<Actor, Task> step)
    {
        (busy, refusal) = (true, null);
        try
        {
            refusal = await Refusals.OfAsync(async () => await step(await actor.GetAsync(Roles.CalibrationLead)));
        }
        finally
        {
            busy = false;
        }
        await OnChanged.InvokeAsync();
    }
}
