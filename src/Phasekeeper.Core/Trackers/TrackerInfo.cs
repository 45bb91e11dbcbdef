namespace Phasekeeper.Core.Trackers;

/// <summary>What a tracker is: everything that pages, API and help show of it.</summary>
/// <param name="Id">Stable id, kebab-case, e.g. thermal-slope.</param>
/// <param name="Title">Short title.</param>
/// <param name="Unit">Unit of the value; "1" for a ratio.</param>
/// <param name="PerView">One value a view.</param>
/// <param name="PerLine">One value a line.</param>
/// <param name="Definition">How the value is defined, one or two sentences.</param>
/// <param name="MovedBy">What moves it.</param>
/// <param name="Advice">What to do about it; defers to the mission's flight rules.</param>
public sealed record TrackerInfo(
    string Id, string Title, string Unit, bool PerView, bool PerLine, string Definition, string MovedBy, string Advice);
