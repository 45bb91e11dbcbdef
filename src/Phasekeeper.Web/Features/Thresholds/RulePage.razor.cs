using System.Globalization;
using Microsoft.AspNetCore.Components;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Pipeline.Thresholds;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Coefficients;
using Phasekeeper.Web.Features.People;
using Phasekeeper.Web.Shared.Addresses;

namespace Phasekeeper.Web.Features.Thresholds;

/// <summary>One rule: edit it, rehearse it on history, propose it.</summary>
public sealed partial class RulePage(Rehearsals rehearsals, RuleDesk desk, ICurrentActor actor)
{
    private RuleDeclaration? rule;
    private RuleKind? kind;
    private RuleEdit? edit;
    private Rehearsal? run;
    private string stretch = "30";
    private string? from, to, reason, refusal;
    private bool busy;

    /// <summary>Id of the rule.</summary>
    [Parameter]
    public string Id { get; set; } = "";

    /// <inheritdoc/>
    protected override bool Concerns(Change change) => change.Kind == ChangeKind.Rules || (change.Kind == ChangeKind.Rehearsal && (change.Key is null || change.Key == run?.Id));

    /// <inheritdoc/>
    protected override Func<Action> Loader(AddressReader address)
    {
        var (mission, id) = (Mission!, Id);
        return () => () =>
        {
            var now = mission.Rules.Find(id);
            // What a person has typed stays, unless the rule itself became another.
            if (now?.VersionText != rule?.VersionText || now?.Id != rule?.Id || now?.Enabled != rule?.Enabled) (edit, run, refusal) = (now is null ? null : new(now), null, null);
            (rule, kind) = (now, now is null ? null : RuleCatalog.Of(now.Kind));
        };
    }

    private Task RehearseAsync() => StepAsync(async () =>
    {
        var wanted = stretch switch
        {
            "all" => new RehearsalStretch(),
            "range" => new RehearsalStretch(null, Time(from), Time(to)),
            _ => new RehearsalStretch(double.Parse(stretch, CultureInfo.InvariantCulture)),
        };
        run = await rehearsals.StartAsync(edit!.Read(), wanted, await actor.GetAsync(Roles.Analyst));
    });

    private Task ProposeAsync() => StepAsync(async () =>
    {
        var id = await desk.ProposeAsync(run!.Id, reason, await actor.GetAsync(Roles.Analyst));
        Navigation.NavigateTo(string.Create(CultureInfo.InvariantCulture, $"/rules/proposals/{id}"));
    });

    private async Task StepAsync(Func<Task> step)
    {
        (busy, refusal) = (true, null);
        try
        {
            refusal = await Refusals.OfAsync(step);
        }
        finally
        {
            busy = false;
        }
    }

    private static Instant Time(string? text) => Instant.TryParseUtc(text, out var time) ? time
        : throw new DecisionRefusedException(RefusalKind.Invalid, $"Found the time '{text}'; expected ISO 8601 UTC, such as 2031-03-01T00:00:00Z.");
}
