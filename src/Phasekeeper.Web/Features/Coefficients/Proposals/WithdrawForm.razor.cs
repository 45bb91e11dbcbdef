using Microsoft.AspNetCore.Components;
using Phasekeeper.Pipeline.Coefficients;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.People;

namespace Phasekeeper.Web.Features.Coefficients.Proposals;

/// <summary>Takes a proposal back; shown to who proposed it.</summary>
public sealed partial class WithdrawForm(CoefficientDesk desk, ICurrentActor actor)
{
    private string? reason;
    private string? refusal;
    private bool busy;

    /// <summary>The proposed set.</summary>
    [Parameter, EditorRequired]
    public CoefficientSetItem Set { get; set; } = default!;

    /// <summary>Called when it was tried.</summary>
    [Parameter]
    public EventCallback OnChanged { get; set; }

    private async Task WithdrawAsync()
    {
        (busy, refusal) = (true, null);
        try
        {
            refusal = await Refusals.OfAsync(async () => await desk.WithdrawAsync(Set.Id, reason, Set.EvidenceId, await actor.GetAsync(Roles.Analyst)));
        }
        finally
        {
            busy = false;
        }
        await OnChanged.InvokeAsync();
    }
}
