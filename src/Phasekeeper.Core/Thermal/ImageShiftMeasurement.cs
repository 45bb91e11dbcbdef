using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Thermal;

/// <summary>One exposure's fiducial measurement of a view's image shift.</summary>
/// <param name="Time">Middle of the exposure.</param>
/// <param name="View">View id.</param>
/// <param name="ShiftSamples">s, samples.</param>
/// <param name="SigmaSamples">1σ, samples, positive.</param>
public readonly record struct ImageShiftMeasurement(Instant Time, string View, double ShiftSamples, double SigmaSamples);
