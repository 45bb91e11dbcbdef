using Microsoft.AspNetCore.Components;
using Phasekeeper.Pipeline.Intake;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.People;

namespace Phasekeeper.Web.Features.Data;

/// <summary>What could not be used: look, download, retry after a fix of the definition, or discard.</summary>
public sealed partial class QuarantinePanel(IntakeService intake, ICurrentActor actor)
{
    private static readonly IReadOnlyList<string> States = ["retried", "discarded"];

    private string? refusal;

    /// <summary>Items of the chosen state, newest first.</summary>
    [Parameter, EditorRequired]
    public Page<QuarantineRow> Items { get; set; } = default!;

    /// <summary>Waiting items by sort of reason.</summary>
    [Parameter, EditorRequired]
    public IReadOnlyDictionary<string, long> WaitingByKind { get; set; } = default!;

    /// <summary>State of the items shown.</summary>
    [Parameter, EditorRequired]
    public string State { get; set; } = "";

    /// <summary>Address with a parameter changed.</summary>
    [Parameter, EditorRequired]
    public Func<string, string?, string> Link { get; set; } = default!;

    /// <summary>Called after a step.</summary>
    [Parameter]
    public EventCallback OnChanged { get; set; }

    private Task RetryAsync(long id) => StepAsync(async () =>
    {
        var result = await intake.RetryAsync(id, await actor.GetAsync(Roles.Operator));
        return result.Stored > 0 ? null : $"Item {id} cannot be used yet: nothing of it could be stored.";
    });

    private Task DiscardAsync(long id) => StepAsync(async () =>
    {
        await intake.DiscardAsync(id, await actor.GetAsync(Roles.Operator));
        return null;
    });

    private async Task StepAsync(Func<Task<string?>> step)
    {
        try
        {
            await actor.GetAsync(Roles.Operator);
            refusal = await step();
        }
        catch (Exception stated) when (stated is InvalidOperationException or KeyNotFoundException)
        {
            refusal = stated.Message;
        }
        await OnChanged.InvokeAsync();
    }
}
