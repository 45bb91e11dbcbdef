using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Flags.Inputs;

/// <summary>A detected step of the image shift.</summary>
/// <param name="View">View.</param>
/// <param name="Time">When.</param>
/// <param name="StepSamples">Size, samples; positive towards larger sample numbers.</param>
/// <param name="SigmaSamples">1σ of the size.</param>
public sealed record ImageShiftStep(string View, Instant Time, double StepSamples, double SigmaSamples);
