using System.Globalization;
using Microsoft.AspNetCore.Components;
using Phasekeeper.Core.Coefficients.Evidence;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Pipeline.Coefficients;
using Phasekeeper.Pipeline.Coefficients.Evidence;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.People;
using Phasekeeper.Web.Shared.Addresses;

namespace Phasekeeper.Web.Features.Coefficients.Proposals;

/// <summary>Everything that a calibration lead needs to decide about a proposed set, on one page that can be printed and signed.</summary>
public sealed partial class ProposalPage(Stores stores, CoefficientDesk desk, EvidenceBoard board, EvidenceDesk evidenceDesk, ICurrentActor actor)
{
    private readonly ProposalQueries queries = new(stores, desk);
    private ProposalView? view;
    private string? wanted, refusal;
    private DecisionRequest? start;

    /// <summary>Number of the set.</summary>
    [Parameter]
    public string Id { get; set; } = "";

    /// <summary>Which residual is plotted: a word of <see cref="ResidualMeasures"/>.</summary>
    [SupplyParameterFromQuery(Name = "plot")]
    public string? PlotText { get; set; }

    private IReadOnlyList<string> Measures => [.. view?.Evidence?.ResidualOrbits.Select(o => o.Measure).Distinct() ?? []];

    private string Measure => wanted is { } word && Measures.Contains(word) ? word : Measures.Count > 0 ? Measures[0] : "";

    /// <inheritdoc/>
    protected override bool Concerns(Change change) => change.Kind is ChangeKind.Coefficients or ChangeKind.Orbit or ChangeKind.Evidence or ChangeKind.Auxiliary;

    /// <inheritdoc/>
    protected override Func<Action> Loader(AddressReader address)
    {
        var mission = Mission!;
        long? number = long.TryParse(Id, NumberStyles.None, CultureInfo.InvariantCulture, out var id) ? id : null;
        return () =>
        {
            var read = number is { } set && mission.Instrument is not null ? queries.Read(set, mission, start) : null;
            var measures = read?.Evidence?.ResidualOrbits.Select(o => o.Measure).Distinct().ToArray() ?? [];
            var word = measures.Length > 0 ? address.Word("plot", PlotText, measures, $"The plot shows {CoefficientWords.Measure(measures[0])}") : null;
            return () => (view, wanted) = (read, word);
        };
    }

    private int PanelsOf(ProposalEvidence evidence) => evidence.ResidualOrbits.Where(o => o.Measure == Measure).Select(o => (o.View, o.Line)).Distinct().Count();

    // The start that a person has put into the form.
    private Task StartAsync(DecisionRequest chosen)
    {
        start = chosen;
        return LoadAsync();
    }

    private Task AskAsync() => AskForAsync(null);

    private async Task AskForAsync(EvidenceStart? from)
    {
        refusal = null;
        refusal = await Refusals.OfAsync(async () => await evidenceDesk.AskAsync(view!.Set.Id, await actor.GetAsync(Roles.Analyst), from));
        await LoadAsync();
    }
}
