using Microsoft.AspNetCore.Components;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Storage;
using Phasekeeper.Web.Shared.Addresses;

namespace Phasekeeper.Web.Features.Flags;

/// <summary>One flag: what was found, its evidence, its life, its group, and the next steps.</summary>
public sealed partial class FlagPage(Stores stores)
{
    private readonly FlagQueries queries = new(stores);
    private FlagDetailView? detail;

    /// <summary>Id of the flag.</summary>
    [Parameter]
    public string Id { get; set; } = "";

    private string PlotUrl => $"/api/v1/plots/flags/{Uri.EscapeDataString(Id)}";

    /// <inheritdoc/>
    protected override bool Concerns(Change change) => change.Kind is ChangeKind.Flag or ChangeKind.Orbit;

    /// <inheritdoc/>
    protected override Func<Action> Loader(AddressReader address)
    {
        var (mission, id) = (Mission!, Id);
        return () =>
        {
            var read = queries.Detail(mission, id);
            return () => detail = read;
        };
    }
}
