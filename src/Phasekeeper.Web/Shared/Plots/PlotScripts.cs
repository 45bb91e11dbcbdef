namespace Phasekeeper.Web.Shared.Plots;

/// <summary>Addresses of the scripts that draw. The plotly files are static assets of the package Plotly.Blazor; a test fetches them.</summary>
public static class PlotScripts
{
    /// <summary>Our module.</summary>
    public const string Module = "./Shared/Plots/PlotView.razor.js";

    /// <summary>Lines, points and bars: 1.1 MB.</summary>
    public const string Lines = "_content/Plotly.Blazor/plotly-basic-3.7.0.min.js";

    /// <summary>Everything, for heat maps: 4.9 MB.</summary>
    public const string HeatMaps = "_content/Plotly.Blazor/plotly-3.7.0.min.js";
}
