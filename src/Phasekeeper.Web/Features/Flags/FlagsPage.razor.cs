using Microsoft.AspNetCore.Components;
using Microsoft.AspNetCore.Components.Authorization;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Assessment;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Storage;
using Phasekeeper.Web.Shared.Addresses;

namespace Phasekeeper.Web.Features.Flags;

/// <summary>The list of flags, in groups of one likely cause. What it is narrowed to is in the address.</summary>
public sealed partial class FlagsPage(Stores stores)
{
    private const string EveryState = "all";
    private readonly FlagQueries queries = new(stores);
    private readonly SortedDictionary<string, long> chosen = new(StringComparer.Ordinal);
    private FlagListView? view;
    private string? me;
    private bool told;
    private IReadOnlyList<string> causes = [];
    private (string? State, string? Severity, string? Rule, string? Span, int? Orbit, string? Cause, bool Mine, bool Mentions) wanted;

    private static readonly IReadOnlyList<string> States = [.. FlagWords.States, EveryState];
    private static readonly IReadOnlyList<string> Spans = ["24h", "7d", "30d"];
    private static readonly IReadOnlyList<string> Whose = ["mine", "mentions"];

    /// <summary>Who looks at the page.</summary>
    [CascadingParameter]
    public Task<AuthenticationState>? Who { get; set; }

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

    /// <summary>mine: those that I have; mentions: those in which I am mentioned; absent = all.</summary>
    [SupplyParameterFromQuery(Name = "whose")]
    public string? WhoseFlags { get; set; }

    /// <summary>One cause; absent = any.</summary>
    [SupplyParameterFromQuery]
    public string? Cause { get; set; }

    /// <summary>Where older flags go on; absent = the newest.</summary>
    [SupplyParameterFromQuery]
    public string? Older { get; set; }

    private IReadOnlySet<string> Selected => chosen.Keys.ToHashSet(StringComparer.Ordinal);

    /// <inheritdoc/>
    protected override bool Concerns(Change change) => change.Kind == ChangeKind.Flag;

    /// <inheritdoc/>
    protected override async Task OnParametersSetAsync()
    {
        me = Who is null ? null : (await Who).User.Identity?.Name;
        await base.OnParametersSetAsync();
    }

    /// <inheritdoc/>
    protected override Func<Action> Loader(AddressReader address)
    {
        var mission = Mission!;
        causes = mission.Profile.FlagCauses;
        var before = wanted;
        var whose = address.Word("whose", WhoseFlags, Whose, "Everybody's flags are shown");
        wanted = (address.Word("state", State, States, "Standing flags are shown"), address.Word("severity", Severity, FlagWords.Severities, "Flags of all severities are shown"), Text(Rule),
            address.Word("span", Span, Spans, "Flags of all times are shown"), address.Orbit(Orbit, "Flags of all orbits are shown"), address.Word("cause", Cause, causes, "Flags of any cause are shown"),
            whose == "mine", whose == "mentions");
        // A rule that was taken out of force leaves its flags behind.
        if (wanted.Rule is { } rule && mission.Rules.Find(rule) is null) address.Note("rule", rule, "a rule in force", "Flags of a rule that was once called so are shown");
        var query = new FlagQuery
        {
            State = wanted.State == EveryState ? null : wanted.State,
            WithWithdrawn = wanted.State == EveryState,
            Severity = wanted.Severity,
            Rule = wanted.Rule,
            Holder = wanted.Mine ? me ?? "" : null,
            Cause = wanted.Cause,
            From = Start(),
            Orbit = wanted.Orbit,
        };
        var mentioned = wanted.Mentions ? me ?? "" : null;
        var older = Place(address, query);
        return () =>
        {
            var read = queries.List(mission, query, older, mentioned);
            return () =>
            {
                view = read;
                // Nobody acts on flags that another filter has taken out of sight.
                if (wanted != before)
                    foreach (var hidden in chosen.Keys.Except(read.Groups.SelectMany(g => g.Lines).Select(l => l.Flag.Id)).ToArray()) chosen.Remove(hidden);
            };
        };
    }

    // The place is looked at here, since what the address says wrongly is told before the page is read.
    private string? Place(AddressReader address, FlagQuery query)
    {
        if (Text(Older) is not { } older) return null;
        try
        {
            stores.Flags.Newest(query, 1, older);
            return older;
        }
        catch (ContinuationException)
        {
            address.Note("older", older, "what a link to older flags says", "The newest flags are shown");
            return null;
        }
    }

    private void Select((IReadOnlyList<FlagRow> Flags, bool Selected) choice)
    {
        told = false;
        foreach (var flag in choice.Flags)
            if (choice.Selected) chosen[flag.Id] = flag.Revision;
            else chosen.Remove(flag.Id);
    }

    private void Clear()
    {
        told = false;
        chosen.Clear();
    }

    // What was refused stays selected: as the list shows it when it has been read again, so the person sees what they decide on.
    private async Task DoneAsync(IReadOnlyList<FlagStepResult> results)
    {
        told = true;
        foreach (var result in results)
            if (result.Refusal is null) chosen.Remove(result.Id);
            else if (stores.Flags.Get(result.Id) is { } now) chosen[result.Id] = now.Revision;
        await LoadAsync();
    }

    private string CsvUrl => Navigation.GetUriWithQueryParameters("/api/v1/flags", new Dictionary<string, object?>
    {
        ["state"] = wanted.State is { } state && state != EveryState ? state : null,
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

    private string With(string name, string? value) => Navigation.GetUriWithQueryParameters(name == nameof(Older)
        ? new Dictionary<string, object?> { ["older"] = value }
        : new Dictionary<string, object?> { [char.ToLowerInvariant(name[0]) + name[1..]] = value, ["older"] = null });

    private string WhoseHref(string? value) => With("whose", value);

    private static string WhoseText(string value) => value == "mine" ? "mine" : "mentions me";

    private void Choose(string name, ChangeEventArgs change) => Navigation.NavigateTo(With(name, Text(change.Value as string)));

    private static string? Text(string? value) => string.IsNullOrEmpty(value) ? null : value;
}
