namespace Phasekeeper.Core.Flags.Inputs;

/// <summary>What arrived of one orbit.</summary>
/// <param name="Orbit">Orbit number.</param>
/// <param name="Expected">Exposures (or packets, for a mission without fringes) that the cadence calls for; 0 = not known.</param>
/// <param name="Received">How many of them arrived, a part of an exposure counting as its fraction of rows.</param>
/// <param name="LatencyS">Largest time from measurement to ingest, s; NaN unless the mission is live.</param>
/// <param name="LongestGapS">Longest stretch without any packet that lies in, ends in or begins in this orbit, s; one that goes on beyond its end counts up to there.</param>
/// <param name="Open">True while mission time is still inside the orbit: it is not judged yet.</param>
public sealed record OrbitArrival(int Orbit, double Expected, double Received, double LatencyS, double LongestGapS, bool Open = false);

/// <summary>Lamp exposures of one orbit, view and line.</summary>
/// <param name="Orbit">Orbit number.</param>
/// <param name="View">View.</param>
/// <param name="Line">Line.</param>
/// <param name="Expected">Exposures that the cadence calls for.</param>
/// <param name="Received">Exposures that arrived with at least one usable row.</param>
/// <param name="Open">True while mission time is still inside the orbit.</param>
public sealed record LampArrival(int Orbit, string View, string Line, int Expected, int Received, bool Open = false);
