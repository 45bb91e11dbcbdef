using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Flags.Inputs;

/// <summary>Spikes of one exposure and view.</summary>
/// <param name="Time">Middle of the exposure.</param>
/// <param name="View">View.</param>
/// <param name="Spikes">Samples masked as spikes, all rows.</param>
/// <param name="Rows">Rows that were looked at.</param>
/// <param name="LatitudeDeg">Latitude of the satellite, deg; NaN when not known.</param>
/// <param name="LongitudeDeg">Longitude of the satellite, deg east, −180…180 or 0…360; NaN when not known.</param>
public readonly record struct SpikeCount(Instant Time, string View, int Spikes, int Rows, double LatitudeDeg, double LongitudeDeg);
