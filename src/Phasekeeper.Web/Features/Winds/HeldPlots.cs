using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Days;
using Phasekeeper.Web.Shared.Plots;

namespace Phasekeeper.Web.Features.Winds;

/// <summary>What people hold is said in words in the plot's document, so that its table, picture, print and what is kept of it say so too.</summary>
internal static class HeldPlots
{
    /// <summary>The plot, with a sentence where an orbit that it shows is held.</summary>
    /// <param name="document">The plot.</param>
    /// <param name="stores">Stores.</param>
    /// <param name="orbits">Orbits whose winds it shows.</param>
    public static PlotDocument Marked(this PlotDocument document, Stores stores, IReadOnlyCollection<int> orbits)
    {
        var held = stores.Holds.Of(orbits);
        return document with { Summary = $"{HeldNotice.SentenceOf([.. orbits.Where(held.ContainsKey)])} {document.Summary}".Trim() };
    }
}
