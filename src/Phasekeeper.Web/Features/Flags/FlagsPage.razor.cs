using Microsoft.AspNetCore.Components;
using Microsoft.AspNetCore.Components.Web;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Storage;
using Phasekeeper.Web.Shared.Addresses;

namespace Phasekeeper.Web.Features.Flags;

/// <summary>The list of flags. What it is narrowed to is in the address.</summary>
public sealed partial class FlagsPage(Stores stores)
{
    private readonly FlagQueries queries = new(stores);
    private FlagListView? view;
    private (string? State, string? Severity, string? Rule, string? Span, int? Orbit) wanted;

    private static readonly IReadOnlyList<string> States = [.. FlagWords.States, FlagFilter.EveryState];
    private static readonly IReadOnlyList<string> Spans = ["24h", "7d", "30d"];

    /// <summary>One state, or all; absent = standing, that is all but withdrawn ones.</summary>
    [SupplyParameterFromQuery]
    public string? State { get; set; }

    /// <summary>One severity; absent = all.</summary>
    [SupplyParameterFromQuery]
    public string? Severity { get; set; }

    /// <summary>One rule; absent = all.</summary>
    [SupplyParameterFromQuery]
    public string? Rule { get; set; }

    /// <summary>Flags that touch the last 24h, 7d or 30d of mission time; absent = all.</summary>
    [SupplyParameterFromQuery]
    public string? Span { get; set; }

    /// <summary>Flags that touch one orbit; absent = all.</summary>
    [SupplyParameterFromQuery]
    public string? Orbit { get; set; }

    /// <inheritdoc/>
    protected override bool Concerns(Change change) => change.Kind == ChangeKind.Flag;

    /// <inheritdoc/>
    protected override Func<Action> Loader(AddressReader address)
    {
        var mission = Mission!;
        wanted = (address.Word("state", State, States, "Standing flags are shown"), address.Word("severity", Severity, FlagWords.Severities, "Flags of all severities are shown"), Text(Rule),
            address.Word("span", Span, Spans, "Flags of all times are shown"), address.Orbit(Orbit, "Flags of all orbits are shown"));
        // A rule that was taken out of force leaves its flags behind.
        if (wanted.Rule is { } rule && mission.Rules.Find(rule) is null) address.Note("rule", rule, "a rule in force", "Flags of a rule that was once called so are shown");
        var filter = new FlagFilter(Start(), null, wanted.State, wanted.Severity, wanted.Rule, wanted.Orbit);
        return () =>
        {
            var read = queries.List(mission, filter);
            return () => view = read;
        };
    }

    private string CsvUrl => Navigation.GetUriWithQueryParameters("/api/v1/flags", new Dictionary<string, object?>
    {
        ["state"] = wanted.State is { } state && state != FlagFilter.EveryState ? state : null,
        ["severity"] = wanted.Severity,
        ["rule"] = wanted.Rule,
        ["from"] = Start()?.ToString(),
        ["limit"] = Api.Lists.ListQuery.LargestLimit,
        ["format"] = "csv",
    });

    private Instant? Start()
    {
        double? seconds = wanted.Span switch { "24h" => 86_400, "7d" => 7 * 86_400, "30d" => 30 * 86_400, _ => null };
        return seconds is { } length && stores.Archive.LastPacketTime is { } now ? now.AddSeconds(-length) : null;
    }

    private string With(string name, string? value) => Navigation.GetUriWithQueryParameter(char.ToLowerInvariant(name[0]) + name[1..], value);

    private void ChooseRule(ChangeEventArgs change) => Navigation.NavigateTo(With(nameof(Rule), Text(change.Value as string)));

    private static string? Text(string? value) => string.IsNullOrEmpty(value) ? null : value;
}
