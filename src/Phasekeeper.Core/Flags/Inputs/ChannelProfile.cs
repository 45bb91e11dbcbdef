namespace Phasekeeper.Core.Flags.Inputs;

/// <summary>A channel folded over one orbit: means in bins of equal orbit phase from the ascending node on.</summary>
/// <param name="Channel">Channel name.</param>
/// <param name="Unit">Unit.</param>
/// <param name="Orbit">Orbit number.</param>
/// <param name="BinMeans">Mean of each bin; NaN where no sample fell. The same number of bins for all orbits of a channel.</param>
public sealed record ChannelProfile(string Channel, string Unit, int Orbit, double[] BinMeans);
