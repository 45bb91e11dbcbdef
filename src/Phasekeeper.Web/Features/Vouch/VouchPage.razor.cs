using System.Globalization;
using Microsoft.AspNetCore.Components;
using Phasekeeper.Core.Comparison;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.ZeroWind;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Storage;
using Phasekeeper.Web.Shared.Addresses;

namespace Phasekeeper.Web.Features.Vouch;

/// <summary>By what a team vouches for its winds: others' winds beside them, and the offsets that they tell of themselves. Everything chosen stands in the address.</summary>
public sealed partial class VouchPage(Stores stores)
{
    private const double SmallestLimit = 0.1;
    private readonly VouchQueries queries = new(stores);
    private IReadOnlyList<ComparisonSet> sets = [];
    private ComparisonSet? chosen;
    private ComparisonChoice choice = new ComparisonQuery().Read();
    private IReadOnlyList<ComparisonGroup> groups = [], byAltitude = [], byLocalTime = [];
    private bool cut;
    private bool isZero;
    private long? day;
    private IReadOnlyList<ZeroWindEstimate> estimates = [];

    /// <summary>zero: the zero wind; absent: other winds.</summary>
    [SupplyParameterFromQuery]
    public string? Tab { get; set; }

    /// <summary>Id of the set.</summary>
    [SupplyParameterFromQuery(Name = "set")]
    public string? SetText { get; set; }

    /// <summary>See <see cref="ComparedSeries"/>.</summary>
    [SupplyParameterFromQuery]
    public string? Wind { get; set; }

    /// <summary>Line.</summary>
    [SupplyParameterFromQuery]
    public string? Line { get; set; }

    /// <summary>Largest distance, km.</summary>
    [SupplyParameterFromQuery(Name = "distanceKm")]
    public string? Distance { get; set; }

    /// <summary>Largest time between, minutes.</summary>
    [SupplyParameterFromQuery]
    public string? Minutes { get; set; }

    /// <summary>Largest distance in altitude, km.</summary>
    [SupplyParameterFromQuery(Name = "altitudeKm")]
    public string? Altitude { get; set; }

    private bool IsZero => isZero;

    private IEnumerable<ComparedSeries> Series =>
        [.. (Mission?.Instrument?.Views ?? []).Select(v => new ComparedSeries(ComparedWind.LineOfSight, v.Id)), new(ComparedWind.Eastward, ""), new(ComparedWind.Northward, "")];

    private IEnumerable<(string Name, string Title, string Unit, double Value, double Most)> LimitFields =>
    [
        ("distanceKm", "Distance up to", "km", choice.Limits.DistanceKm, ComparisonLimits.Widest.DistanceKm),
        ("minutes", "Time up to", "min", choice.Limits.Minutes, ComparisonLimits.Widest.Minutes),
        ("altitudeKm", "Altitude gap up to", "km", choice.Limits.AltitudeKm, ComparisonLimits.Widest.AltitudeKm),
    ];

    private IEnumerable<(string Title, string By, IReadOnlyList<ComparisonGroup> List)> Binned => groups.Count == 0 ? []
        : [("Table by altitude", ComparisonGroups.ByAltitude, byAltitude), ("Table by local time", ComparisonGroups.ByLocalTime, byLocalTime)];

    /// <inheritdoc/>
    protected override bool Concerns(Change change) => change.Kind is ChangeKind.Winds or ChangeKind.Auxiliary or ChangeKind.Coefficients;

    /// <inheritdoc/>
    protected override Func<Action> Loader(AddressReader address)
    {
        const string largest = "The set with the most pairs is shown";
        isZero = address.Word("tab", Tab, ["zero"], "The comparison with other winds is shown") is not null;
        var set = address.Whole("set", SetText, 1, long.MaxValue, largest);
        var wanted = Choice(address);
        if (IsZero) return LoadZero;
        return () =>
        {
            var all = queries.Sets();
            var usable = all.Where(s => s.Row.State == "read").ToArray();
            if (set is not null && !usable.Any(s => s.Row.Id == set)) address.Note("set", SetText!, "the number of a set that can be used", usable.Length > 0 ? largest : "There is none yet");
            var one = usable.FirstOrDefault(s => s.Row.Id == set) ?? usable.OrderByDescending(s => s.Pairs).FirstOrDefault();
            var pairs = one is null ? new([], false, []) : queries.Pairs(one.Row.Id, wanted);
            var tables = ComparisonGroups.Ways.Select(by => ComparisonGroups.Of(pairs.Pairs, by)).ToArray();
            return () => (sets, chosen, choice, groups, byAltitude, byLocalTime, cut, heldOrbits) = (all, one, wanted, tables[0], tables[1], tables[2], pairs.Cut, pairs.HeldOrbits);
        };
    }

    private IReadOnlyList<int> heldOrbits = [];

    private Action LoadZero()
    {
        var newest = stores.ZeroWinds.NewestDay;
        var read = newest is { } n ? stores.ZeroWinds.Read(n, n).Select(e => e.Estimate).ToArray() : [];
        return () => (day, estimates) = (newest, read);
    }

    private ComparisonChoice Choice(AddressReader address)
    {
        double Limit(string name, string? text, double otherwise, double most, string unit) =>
            address.Number(name, text, SmallestLimit, most, unit, string.Create(CultureInfo.InvariantCulture, $"{otherwise} {unit} is used")) ?? otherwise;
        var (usual, widest) = (ComparisonLimits.Default, ComparisonLimits.Widest);
        return new(Instant.MinValue, Instant.MaxValue, address.Word("line", Line, (Mission!.Instrument?.Lines ?? []).Select(l => l.Id), "All lines are shown"),
            ComparedSeries.Read(address.Word("wind", Wind, Series.Select(s => s.Id), "All winds are shown")), new()
            {
                DistanceKm = Limit("distanceKm", Distance, usual.DistanceKm, widest.DistanceKm, "km"),
                Minutes = Limit("minutes", Minutes, usual.Minutes, widest.Minutes, "min"),
                AltitudeKm = Limit("altitudeKm", Altitude, usual.AltitudeKm, widest.AltitudeKm, "km"),
            });
    }

    private void Pick(string name, ChangeEventArgs change) => SetQuery(false, (name, change.Value as string is { Length: > 0 } value ? value : null));

    private string Parameters => string.Create(CultureInfo.InvariantCulture,
        $"wind={Uri.EscapeDataString(choice.Wind?.Id ?? "")}&line={Uri.EscapeDataString(choice.Line ?? "")}&distanceKm={choice.Limits.DistanceKm}&minutes={choice.Limits.Minutes}&altitudeKm={choice.Limits.AltitudeKm}");

    private string Api(string part, string more) => $"/api/v1/comparisons/{chosen!.Row.Id}/{part}?{Parameters}{more}";

    private string? Plot(string name, string more) => groups.Count == 0 ? null : $"/api/v1/plots/vouch/{name}?set={chosen!.Row.Id}&{Parameters}{more}";
}
