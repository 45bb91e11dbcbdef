namespace Phasekeeper.Web.Shared.Plots;

/// <summary>A note of the team on a stretch of a plot's time.</summary>
/// <param name="Id">Id of the annotation.</param>
/// <param name="Number">Its number on this plot, from 1.</param>
/// <param name="From">Start, as <see cref="PlotTime"/>.</param>
/// <param name="To">End; the same for an instant.</param>
/// <param name="Text">The words.</param>
/// <param name="By">Who wrote it.</param>
/// <param name="About">View, line or channel that it speaks of; null = none alone.</param>
public sealed record PlotNote(long Id, int Number, double From, double To, string Text, string By, string? About);
