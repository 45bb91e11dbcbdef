using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Instrument;
using Phasekeeper.Core.Tests.Thermal;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Core.ZeroWind;

namespace Phasekeeper.Core.Tests.Trackers;

/// <summary>A simulated orbit with everything that a tracker may ask for: darks, geometry, winds of two lines, channels with recent orbits, counts.</summary>
internal static class FullOrbit
{
    public const double PeakKm = 96.3;
    public const double DarkRate = 2.2;

    public static OrbitInput Make()
    {
        var input = new SimulatedOrbit().Make(11);
        var red = input.Instrument!.Lines[0] with { Id = "red", WavelengthVacuumNm = 630.2 };
        // Detector 6.5 K above the reference: the rate doubles.
        var darks = new[] { 1, 2, 3 }.SelectMany(i => new[] { "F", "A" }.Select(v => Dark(input, i, v))).ToList();
        // A layer with its peak at PeakKm and rows whose altitudes wander over the orbit.
        var fringes = input.Fringes.Concat(darks).OrderBy(f => f.Time).ThenBy(f => f.Exposure).ThenBy(f => f.View, StringComparer.Ordinal)
            .Select(f => f.Kind == ExposureKind.Scene ? f with { SignalElectrons = [.. Altitudes(f.Exposure).Select(a => 4000 * Math.Exp(-0.5 * Math.Pow((a - PeakKm) / 9, 2)))] } : f).ToList();
        var winds = input.Fringes.Where(f => f.Kind == ExposureKind.Scene).SelectMany(f => new[]
        {
            new OrbitWind(f.Time, f.View, "green", 10, 95, true, 30, 3), new OrbitWind(f.Time, f.View, "red", 10, 95, true, 26, 3),
            new OrbitWind(f.Time, null, "green", 10, 95, f.Exposure % 2 == 0, f.Exposure % 2 == 0 ? 20 : 15, 3),
        }).ToList();
        return input with
        {
            Instrument = input.Instrument with { Lines = [input.Instrument.Lines[0], red] },
            Fringes = fringes,
            Geometry = [.. fringes.Where(f => f.Kind == ExposureKind.Scene).Select(f => new ExposureGeometry(f.Exposure, f.View, -30, -50, Altitudes(f.Exposure)))],
            Winds = winds,
            ZeroWind = [Claimed("green"), Claimed("red")],
            Channels = [Channel(30, 1)],
            RecentChannels = [.. Enumerable.Range(0, 15).Select(i => (IReadOnlyList<ChannelOrbitStatistics>)[Channel(20 + 0.1 * (i % 5), 0)])],
            Completeness = new OrbitCompleteness { ExpectedRows = 1000, ReceivedRows = 900, ExpectedPackets = 2000, ReceivedPackets = 1990, SequenceGaps = 3 },
            LatencyS = [10, 20, 60],
            Setting = new OrbitSetting { BetaDeg = 33, EclipseFraction = 0.37, Sunlit = [new(input.Start.AddSeconds(0.37 * SimulatedOrbit.OrbitS), input.End)] },
        };
    }

    private static ZeroWindEstimate Claimed(string line) => new()
    {
        Line = line,
        Status = ZeroWindStatus.Claimed,
        Reasons = [],
        Offsets = [new("F", 3, 0.9), new("A", -2, 0.8)],
        CovarianceM2S2 = [0.81, 0.1, 0.1, 0.64],
        TrendSigmaMs = [0.1, 0.1],
        Information = (0.3, 0.4),
        BinsUsed = 900,
        BinsSeen = 1100,
        PairedShare = 0.95,
        HoursUsed = 24,
        Columns = [],
        DailyWindSigmaMs = [],
        Orbits = 900,
        Days = 62,
        From = null,
        To = null,
        LocalTimeRateHPerDay = -0.39,
    };

    private static double[] Altitudes(long exposure) => [.. Enumerable.Range(0, 6).Select(r => 80 + 7 * r + exposure % 12 * 0.6)];

    private static ChannelOrbitStatistics Channel(double level, int changes) => new()
    {
        Channel = "HTR",
        Count = 100,
        Min = level - 1,
        Mean = level,
        Max = level + 1,
        StandardDeviation = 0.5,
        DutyCycle = 0.4,
        StateChanges = changes,
        Profile = [.. Enumerable.Repeat(level, ChannelOrbitStatistics.ProfileBins)],
    };

    private static FringeResult Dark(OrbitInput input, int number, string view)
    {
        double[] Fill(double value) => [.. Enumerable.Repeat(value, 6)];
        return new()
        {
            Exposure = 900000 + number,
            Kind = ExposureKind.Dark,
            View = view,
            Line = "green",
            Time = input.Start.AddSeconds(number * 1000 + 7),
            IntegrationS = 20,
            Status = new RowStatus[6],
            PhaseRad = Fill(double.NaN),
            PhaseSigmaRad = Fill(double.NaN),
            Visibility = Fill(double.NaN),
            VisibilitySigma = Fill(double.NaN),
            SignalElectrons = Fill(DarkRate * 2 * 20),
            SignalSigmaElectrons = Fill(0.5),
            ChiSquare = Fill(1),
            MaskedSamples = new int[6],
            SpikeSamples = new int[6],
            SaturatedSamples = new int[6],
            VelocityRemovedMs = new double[6],
            ImageShiftSamples = double.NaN,
            ImageShiftSigmaSamples = double.NaN,
            DetectorC = -13.5,
            HotSamples = number < 3 ? [5, 300] : [300],
        };
    }
}
