using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Input;
using Phasekeeper.Core.Instrument;
using Phasekeeper.Core.Limb;
using Phasekeeper.Core.Orbits;
using Phasekeeper.Core.Orbits.Files;
using Phasekeeper.Core.Profile;
using Phasekeeper.Core.Thermal;
using Phasekeeper.Core.Time;
using Phasekeeper.Demo.ForwardModel;
using Phasekeeper.Demo.Scenario;
using Phasekeeper.Demo.Telemetry;

namespace Phasekeeper.Demo.Tests.Winds;

/// <summary>
/// A stretch of a scenario from packets to phases: profile, coefficients (with a laboratory's errors) and orbit read by the product's readers, temperatures as telemetry
/// tells them, counts through the fringe retrieval. What the winds are made from knows nothing of the scenario's truth.
/// </summary>
public sealed class ScenarioMission
{
    // Twenty lags of 430 s, and the lead that the readers take beyond it.
    private const double TemperatureLeadHours = 2.6;
    private const double GapS = 600;

    /// <summary>Reads [fromHours, toHours) after the scenario's start.</summary>
    public ScenarioMission(ScenarioGenerator generator, double fromHours, double toHours)
    {
        Generator = generator;
        (From, To) = (generator.Scenario.At(fromHours), generator.Scenario.At(toHours));
        (Instrument, Coefficients, Ephemeris) = ReadProfile(generator);
        // A piece at a time: the bytes of some days at once would be a gigabyte.
        var temperatures = new[] { "IFO_T1", "OB_T1", "DET_T1" }.ToDictionary(n => n, _ => new List<(Instant, double)>());
        var frames = new List<FringeFrame>();
        for (var hour = fromHours - TemperatureLeadHours; hour < toHours; hour += 3)
        {
            var bytes = generator.PacketsFor(generator.Scenario.At(hour), generator.Scenario.At(Math.Min(hour + 3, toHours)), System.Environment.ProcessorCount);
            var packets = PacketFile.Read(bytes);
            foreach (var p in packets.Where(p => p.Apid == HousekeepingChannels.Packets[0].Apid))
                foreach (var (name, values) in temperatures) values.Add((p.Time, p.Channel(name)));
            frames.AddRange(packets.Where(p => p.Apid == HousekeepingChannels.FringeApid && p.Time >= From).GroupBy(p => (p.Exposure, p.Optics)).Select(g => Frame(generator, g)));
        }
        TemperatureSeries Series(string name) => TemperatureSeries.FromUnordered(temperatures[name]);
        (InterferometerC, BenchC, DetectorC) = (Series("IFO_T1"), Series("OB_T1"), Series("DET_T1"));
        var retrievals = generator.Instrument.Optics.ToDictionary(o => (o.View.Id, o.Line.Id), o => new FringeRetrieval(Instrument, Coefficients, o.View.Id, o.Line.Id));
        Fringes = [.. frames.AsParallel().AsOrdered().Select(f => retrievals[(f.View, f.Line)].Retrieve(f, At(DetectorC, f.Time),
            f.Kind == ExposureKind.Scene ? [.. Looks(f.Time, f.View).Select(l => l.MotionMs)] : [], Coefficients.ImageShiftOf(f.View).ShiftAt(At(BenchC, f.Time))))];
    }

    public ScenarioGenerator Generator { get; }
    public Instant From { get; }
    public Instant To { get; }
    public InstrumentModel Instrument { get; }
    public CoefficientSet Coefficients { get; }
    public IEphemeris Ephemeris { get; }
    public TemperatureSeries InterferometerC { get; }
    public TemperatureSeries BenchC { get; }
    public TemperatureSeries DetectorC { get; }

    /// <summary>Results of all exposures in order of time, view and line.</summary>
    public IReadOnlyList<FringeResult> Fringes { get; }

    /// <summary>State of the satellite by the orbit file.</summary>
    public OrbitState StateAt(Instant time) =>
        Ephemeris.TryGetState(time, out var state) ? state : throw new ArgumentOutOfRangeException(nameof(time), $"The orbit file does not cover {time}.");

    /// <summary>Lines of sight of a view with the attitude that attitude data report; null: nominal.</summary>
    public LookSample[] Looks(Instant time, string view, AemAttitude? reported = null)
    {
        BodyAttitude? attitude = reported is null ? null
            : reported.TryGetAttitude(time, out var found) ? found : throw new ArgumentOutOfRangeException(nameof(time), $"The attitude file does not cover {time}.");
        var geometry = new LookGeometry(time, StateAt(time), attitude);
        var azimuth = Instrument.Views.Single(v => v.Id == view).AzimuthDeg;
        return [.. Instrument.RowDepressionDeg.Select(d => geometry.Look(azimuth, d))];
    }

    private static double At(TemperatureSeries series, Instant time) =>
        series.TryInterpolate(time, GapS, out var c) ? c : throw new ArgumentOutOfRangeException(nameof(time), $"No temperature at {time}.");

    private static FringeFrame Frame(ScenarioGenerator generator, IGrouping<(long Exposure, int Optics), TestPacket> group)
    {
        var optics = generator.Instrument.Optics[group.Key.Optics];
        var rows = new ushort[Tern.Rows][];
        foreach (var p in group) rows[p.Row] = [.. Enumerable.Range(0, Tern.Samples).Select(i => (ushort)p.Sample(i))];
        var first = group.First();
        return new FringeFrame
        {
            Exposure = group.Key.Exposure,
            Kind = (ExposureKind)first.Kind,
            View = optics.View.Id,
            Line = optics.Line.Id,
            Time = first.Time,
            IntegrationS = System.Buffers.Binary.BinaryPrimitives.ReadUInt32BigEndian(first.Data[8..]) * 1e-3,
            Rows = rows,
        };
    }

    private static (InstrumentModel, CoefficientSet, IEphemeris) ReadProfile(ScenarioGenerator generator)
    {
        var folder = Directory.CreateTempSubdirectory("pk-winds-").FullName;
        try
        {
            generator.WriteProfile(folder);
            string Text(string name) => File.ReadAllText(Path.Combine(folder, name));
            var errors = new List<InputError>();
            var profile = MissionProfileReader.Read(Text("profile.json"), "profile.json", errors);
            var set = profile?.Instrument is { } instrument ? CoefficientSetReader.Read(Text(profile.CoefficientsFile!), profile.CoefficientsFile!, instrument, Text, errors) : null;
            if (errors.Count > 0 || set is null) throw new InvalidOperationException(string.Join('\n', errors));
            return (profile!.Instrument!, set, OemFile.Read(profile.OrbitFile!, Text(profile.OrbitFile!)).Value);
        }
        finally
        {
            Directory.Delete(folder, recursive: true);
        }
    }
}
