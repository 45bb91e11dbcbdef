using Microsoft.AspNetCore.Components;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Coefficients;
using Phasekeeper.Web.Shared.Numbers;
using Phasekeeper.Web.Shared.States;

namespace Phasekeeper.Web.Features.Today;

/// <summary>The orbits of the stretch, a cell each: what arrived, residual, visibility, worst flag, verdict.</summary>
public sealed partial class OrbitStrip
{
    /// <summary>Orbits, oldest first.</summary>
    [Parameter, EditorRequired]
    public IReadOnlyList<TodayOrbit> Orbits { get; set; } = [];

    /// <summary>Which orbits still have products of a former coefficient set; null: none, and nothing is said.</summary>
    [Parameter]
    public OldProducts? Old { get; set; }

    /// <summary>Orbits whose winds people hold.</summary>
    [Parameter]
    public IReadOnlyDictionary<int, HoldKind> Held { get; set; } = new Dictionary<int, HoldKind>();

    private static string ArrivedText(TodayOrbit orbit) => double.IsNaN(orbit.Arrived) ? "–" : Percent(orbit);

    // Rounded down: 100 % only when everything is there.
    private static string Percent(TodayOrbit orbit) => double.IsNaN(orbit.Arrived) ? "0%" : NumberText.Fixed(Math.Floor(orbit.Arrived * 100), 0) + "%";

    private static string ArrivedTitle(TodayOrbit orbit) =>
        $"{orbit.Row.ReceivedExposures} of {orbit.Row.ExpectedExposures} exposures, {NumberText.Whole(orbit.Row.ReceivedRows)} of {NumberText.Whole(orbit.Row.ExpectedRows)} rows";

    private static string? ToneOf(string? state) => state is "warning" or "critical" ? StateWord.Of(state).CssClass + " strip-marked" : null;

    // A mark beside the number, so that colour is not alone.
    private static string? SymbolOf(string? state) => state switch { "critical" => " ✕", "warning" => " !", _ => null };
}
