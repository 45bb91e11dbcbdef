using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Instrument;
using Phasekeeper.Core.Thermal;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.ZeroWind;

namespace Phasekeeper.Core.Trackers;

/// <summary>
/// Everything that the trackers of ONE orbit are computed from. The orbit stage fills it from storage; the trackers read nothing else, so
/// the same input gives the same values, bit for bit. Lists are in the order stated, which the filler must keep. Whatever is missing is left
/// at its default (empty list, null): the trackers that need it then give no value. Longer look-backs than needed do no harm: they are cut.
/// </summary>
public sealed record OrbitInput
{
    /// <summary>Orbits on each side from which lamp phases and fiducials are used for c(t) and s(t) (domain.md: a stated number; chosen).</summary>
    public const int ReachOrbits = 2;

    /// <summary>Orbits before this one against which profiles and recent means are compared (domain.md section 4).</summary>
    public const int RecentOrbits = 15;

    /// <summary>Orbit number; for a mission without an orbit the UTC day (days since 1970-01-01).</summary>
    public required int Orbit { get; init; }
    /// <summary>Ascending node that starts the orbit (or start of the UTC day).</summary>
    public required Instant Start { get; init; }
    /// <summary>Next ascending node, exclusive.</summary>
    public required Instant End { get; init; }
    /// <summary>True when mission time has passed <see cref="End"/>, so that no more data are expected in order.</summary>
    public required bool Complete { get; init; }
    /// <summary>True when mission time has also passed the last of the <see cref="ReachOrbits"/> orbits that follow; false makes what leans on them provisional.</summary>
    public required bool NeighboursComplete { get; init; }

    /// <summary>The instrument; null = housekeeping only.</summary>
    public InstrumentModel? Instrument { get; init; }
    /// <summary>Coefficient set in force on this orbit; null = housekeeping only.</summary>
    public CoefficientSet? Coefficients { get; init; }

    /// <summary>Fringe results of all kinds with Start ≤ time &lt; End, ordered by time, exposure, view, line.</summary>
    public IReadOnlyList<FringeResult> Fringes { get; init; } = [];
    /// <summary>Lamp results of the <see cref="ReachOrbits"/> orbits before and after (not those of this orbit), same order.</summary>
    public IReadOnlyList<FringeResult> NeighbourLamps { get; init; } = [];
    /// <summary>Fiducial measurements of the same neighbouring orbits, all kinds of exposures, one an exposure/view/line with a finite value; ordered by time, view, line.</summary>
    public IReadOnlyList<ImageShiftMeasurement> NeighbourShifts { get; init; } = [];

    /// <summary>Interferometer temperature from 20τ before the first neighbouring orbit to the end of the last one, °C (see <see cref="TemperatureFrom"/>).</summary>
    public TemperatureSeries InterferometerC { get; init; } = TemperatureSeries.Empty;
    /// <summary>Bench temperature over this orbit and its neighbours, °C.</summary>
    public TemperatureSeries BenchC { get; init; } = TemperatureSeries.Empty;
    /// <summary>Detector temperature over this orbit, °C.</summary>
    public TemperatureSeries DetectorC { get; init; } = TemperatureSeries.Empty;

    /// <summary>Statistics of every numeric or enumerated telemetry channel over this orbit, ordered by name (ordinal).</summary>
    public IReadOnlyList<ChannelOrbitStatistics> Channels { get; init; } = [];
    /// <summary>The same of up to <see cref="RecentOrbits"/> orbits before, each ordered as above; only <see cref="ChannelOrbitStatistics.Profile"/> is used.</summary>
    public IReadOnlyList<IReadOnlyList<ChannelOrbitStatistics>> RecentChannels { get; init; } = [];

    /// <summary>What arrived against what was expected; null = not known.</summary>
    public OrbitCompleteness? Completeness { get; init; }
    /// <summary>Seconds from measurement to ingest of this orbit's packets, one a packet or one a batch; empty unless the mission is live.</summary>
    public IReadOnlyList<double> LatencyS { get; init; } = [];

    /// <summary>Sun and shadow on this orbit; null without an orbit.</summary>
    public OrbitSetting? Setting { get; init; }
    /// <summary>Where exposures looked; ordered by exposure and view. May cover only some exposures.</summary>
    public IReadOnlyList<ExposureGeometry> Geometry { get; init; } = [];
    /// <summary>Winds of this orbit; empty until winds are made.</summary>
    public IReadOnlyList<OrbitWind> Winds { get; init; } = [];
    /// <summary>Zero wind of the weeks before, one a line, on the first orbit of a UTC day; empty on others and until it is made.</summary>
    public IReadOnlyList<ZeroWindEstimate> ZeroWind { get; init; } = [];

    /// <summary>Start of the stretch whose lamps and fiducials are used: <see cref="ReachOrbits"/> lengths of this orbit before its start.</summary>
    public Instant WindowStart => Start.AddSeconds(-ReachOrbits * (End - Start));
    /// <summary>End of that stretch.</summary>
    public Instant WindowEnd => End.AddSeconds(ReachOrbits * (End - Start));

    /// <summary>First moment from which interferometer temperature is needed for a lag of <paramref name="longestLagS"/> seconds (search range of the lag included).</summary>
    public Instant TemperatureFrom(double longestLagS) => WindowStart.AddSeconds(-LaggedTemperature.LookBackLags * longestLagS);
}
