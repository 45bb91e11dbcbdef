using Microsoft.AspNetCore.Components;
using Phasekeeper.Core.SignOff;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Pipeline.SignOff;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.People;
using Phasekeeper.Web.Shared.Plots;

namespace Phasekeeper.Web.Features.Days;

/// <summary>The two ways to sign a day off.</summary>
public sealed partial class SignOffForm(SignOffDesk desk, PipelineEngine engine, ICurrentActor actor)
{
    private string? remark, refusal, done, wroteAt;
    private string other = "";
    private bool busy;
    private DateOnly? of;

    /// <summary>The day.</summary>
    [Parameter, EditorRequired]
    public DaySheet Sheet { get; set; } = default!;

    /// <summary>Called after a sign-off, or a refusal.</summary>
    [Parameter]
    public EventCallback OnDone { get; set; }

    /// <inheritdoc/>
    protected override void OnParametersSet()
    {
        // Another day is another form; the same day that moved on keeps what was written.
        if (of is not null && of != Sheet.Day.Date) (remark, refusal, done, wroteAt, other) = (null, null, null, null, "");
        of = Sheet.Day.Date;
    }

    private void Write() => wroteAt ??= Sheet.Key;

    private Task ConfirmAsync() => SignAsync(Sheet.Proposal.Verdict);

    private Task OverruleAsync()
    {
        if (DayVerdicts.Parse(other) is { } verdict) return SignAsync(verdict);
        (refusal, done) = ("Choose first what you say of the day instead, and write why into the remark.", null);
        return Task.CompletedTask;
    }

    private async Task SignAsync(DayVerdict verdict)
    {
        (busy, refusal, done) = (true, null, null);
        try
        {
            var row = await desk.SignAsync(PlotMission.Of(engine), Sheet.Day.Date, new(verdict, remark, wroteAt ?? Sheet.Key), await actor.GetAsync(Roles.Operator));
            (remark, other, wroteAt) = (null, "", null);
            // First the sheet as it is now: what is pressed next is about that one.
            await OnDone.InvokeAsync();
            done = $"Signed off as {DayWords.Phrase(row.Verdict)}.";
            return;
        }
        catch (SignOffConflictException moved)
        {
            // Text and choice stay; the next click is about what the refusal tells, with the sheet that is shown then.
            (refusal, wroteAt) = (moved.Message, null);
        }
        catch (Exception stated) when (stated is InvalidOperationException or KeyNotFoundException)
        {
            // A reason is missing, the role was taken away, or the day is gone.
            refusal = stated.Message;
        }
        finally
        {
            busy = false;
        }
        await OnDone.InvokeAsync();
    }
}
