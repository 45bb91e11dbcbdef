using System.Globalization;
using Microsoft.AspNetCore.Components;
using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Input;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Coefficients;
using Phasekeeper.Pipeline.Coefficients.Evidence;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.People;
using Phasekeeper.Web.Shared.Numbers;

namespace Phasekeeper.Web.Features.Coefficients;

/// <summary>Proposes the set in force with single numbers changed.</summary>
public sealed partial class HandPanel(CoefficientDesk desk, EvidenceBoard evidence, PipelineEngine engine, MissionFolder folder, Stores stores, ICurrentActor actor, NavigationManager navigation)
{
    private readonly List<HandChange> changes = [];
    private string? number, value, name, reason, refusal;
    private int place, member;
    private int? orbit;
    private bool busy;
    private IReadOnlyList<CoefficientNumber> numbers = [];
    private long read;

    /// <summary>Number of the set in force.</summary>
    [Parameter, EditorRequired]
    public long Base { get; set; }

    /// <summary>All sets, for their names.</summary>
    [Parameter, EditorRequired]
    public IReadOnlyList<CoefficientSetItem> Sets { get; set; } = [];

    private IReadOnlyList<string> Names => [.. numbers.Select(n => n.Number).Distinct()];

    private IReadOnlyList<(string? View, string? Line)> Places => [.. numbers.Where(n => n.Number == number).Select(n => (n.View, n.Line)).Distinct()];

    private IReadOnlyList<CoefficientNumber> Members => place < Places.Count ? [.. numbers.Where(n => n.Number == number && (n.View, n.Line) == Places[place])] : [];

    private CoefficientNumber? Chosen => member < Members.Count ? Members[member] : null;

    /// <inheritdoc/>
    protected override void OnParametersSet()
    {
        if (read == Base || engine.Mission?.Instrument is not { } instrument || stores.Coefficients.Get(Base) is not { } row) return;
        numbers = [.. CoefficientNumbers.Of(CoefficientPackage.Read(row.Json, instrument, row.Name))];
        read = Base;
        // Values of another set would be changed than were seen.
        changes.Clear();
        number ??= numbers.Count > 0 ? numbers[0].Number : null;
        (place, member) = (0, 0);
    }

    private void NumberChosen() => (place, member, value) = (0, 0, null);

    private void PlaceChosen() => (member, value) = (0, null);

    private void Add()
    {
        refusal = null;
        if (Chosen is not { } of) return;
        if (!double.TryParse(value?.Replace('−', '-'), NumberStyles.Float, CultureInfo.InvariantCulture, out var to) || !double.IsFinite(to))
        {
            refusal = $"Found '{value}' as the new value of {CoefficientWords.Number(of.Number)}; expected a number such as {NumberText.Significant(of.Value, 6)}.";
            return;
        }
        changes.RemoveAll(c => c.Of.Key == of.Key);
        changes.Add(new(of, to));
        value = null;
    }

    private async Task ProposeAsync()
    {
        (busy, refusal) = (true, null);
        try
        {
            var by = await actor.GetAsync(Roles.Analyst);
            var proposal = ProposalReader.Read(HandChanges.Body(Base, name, Start(), reason, changes), null, folder, stores.Coefficients);
            var id = await desk.ProposeAsync(proposal, by);
            evidence.Ask(id);
            navigation.NavigateTo(string.Create(CultureInfo.InvariantCulture, $"/coefficients/proposals/{id}"));
        }
        catch (Exception e) when (e is InputException or DecisionRefusedException or AccessDeniedException)
        {
            refusal = e.Message;
        }
        finally
        {
            busy = false;
        }
    }

    private Instant Start() => orbit is { } of && engine.Mission!.Orbits.Of(of) is { } slot ? slot.Start
        : throw new DecisionRefusedException(RefusalKind.Invalid, orbit is null ? "Found no orbit from which the set is to be valid; expected one that an orbit file tells of." : $"Found the orbit {orbit}, which no orbit file tells of; expected one that is known.");
}
