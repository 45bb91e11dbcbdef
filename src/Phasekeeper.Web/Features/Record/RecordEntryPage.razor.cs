using System.Globalization;
using Microsoft.AspNetCore.Components;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Storage;
using Phasekeeper.Web.Shared.Addresses;

namespace Phasekeeper.Web.Features.Record;

/// <summary>One entry of the record, with what was before beside what is after.</summary>
public sealed partial class RecordEntryPage(Stores stores)
{
    private RecordEntry? entry;
    private IReadOnlyList<RecordDifference> differences = [];
    private bool isNewest;

    /// <summary>Number of the entry.</summary>
    [Parameter]
    public string Number { get; set; } = "";

    /// <inheritdoc/>
    protected override bool Concerns(Change change) => change.Kind == ChangeKind.Record;

    /// <inheritdoc/>
    protected override Func<Action> Loader(AddressReader address)
    {
        long? number = long.TryParse(Number, NumberStyles.None, CultureInfo.InvariantCulture, out var asked) ? asked : null;
        return () =>
        {
            var read = number is { } place ? stores.Record.Get(place) : null;
            IReadOnlyList<RecordDifference> values = read is null ? [] : RecordDifferences.Of(read.Before, read.After);
            var last = stores.Record.Head().Entries;
            return () => (entry, differences, isNewest) = (read, values, read?.Number >= last);
        };
    }
}
