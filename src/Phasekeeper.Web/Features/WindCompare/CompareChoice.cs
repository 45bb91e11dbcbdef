using Phasekeeper.Core.WindMeans;

namespace Phasekeeper.Web.Features.WindCompare;

/// <summary>A stretch of days that a day is compared with.</summary>
/// <param name="Word">Word in the address.</param>
/// <param name="Title">Words on the button.</param>
/// <param name="Days">Days before the day that is looked at; the day itself is never among them.</param>
public sealed record CompareBase(string Word, string Title, int Days)
{
    /// <summary>Words in a sentence: the 27 days before.</summary>
    public string Phrase => Days == 1 ? "the day before" : $"the {Days} days before";

    /// <summary>All, shortest first. 27 days: one turn of the Sun as seen from the Earth, whose activity returns with it.</summary>
    public static readonly IReadOnlyList<CompareBase> All = [new("1d", "day before", 1), new("7d", "7 days", 7), new("27d", "27 days", 27), new("90d", "season (90 days)", 90), new("365d", "year", 365)];

    /// <summary>The base of a word; 27 days for a word that is not known.</summary>
    public static CompareBase Of(string? word) => All.FirstOrDefault(b => b.Word == word) ?? All[2];
}

/// <summary>What is compared.</summary>
/// <param name="Date">The UTC day; orbits count to the day on which they begin.</param>
/// <param name="Orbit">One orbit of it alone; null = all.</param>
/// <param name="Line">Line id.</param>
/// <param name="Component">Component.</param>
/// <param name="Altitude">Altitude bin of <see cref="WindBinGrid"/>.</param>
/// <param name="Base">What it is compared with.</param>
/// <param name="WithDoubtful">Doubtful vectors count as well.</param>
public sealed record CompareChoice(DateOnly Date, int? Orbit, string Line, WindComponent Component, int Altitude, CompareBase Base, bool WithDoubtful);
