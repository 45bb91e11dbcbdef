using System.Buffers.Binary;
using System.Globalization;
using System.Text.Json;
using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Instrument;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Tests.Fringes;

public sealed record TruthKey(long Exposure, string View, string Line, int Row);

public sealed record TruthRow(double PhaseRad, double MotionMs, double ImageShift, double SignalElectrons);

/// <summary>Reads the example mission by its fixed packet layout (packets.xtce.xml: header, CDS time, fields, CRC), for tests of the retrieval alone.</summary>
public sealed class ExampleMission
{
    private readonly List<(Instant Time, double BenchC, double DetectorC)> housekeeping = [];

    public static string? Folder { get; } = Find();
    public required InstrumentModel Instrument { get; init; }
    public required CoefficientSet Coefficients { get; init; }
    public List<FringeFrame> Frames { get; } = [];

    public double DetectorC(Instant time) => Nearest(time).DetectorC;

    public double ShiftPrediction(FringeFrame frame) => Coefficients.ImageShiftOf(frame.View).ShiftAt(Nearest(frame.Time).BenchC);

    public Dictionary<TruthKey, TruthRow> Truth()
    {
        var lines = File.ReadAllLines(Path.Combine(Folder!, "truth.csv"));
        var columns = lines[0].TrimStart('#', ' ').Split(',').Select((c, i) => (c, i)).ToDictionary(p => p.c, p => p.i);
        double Value(string[] f, string name) => double.Parse(f[columns[name]], CultureInfo.InvariantCulture);
        return lines.Skip(1).Select(l => l.Split(',')).ToDictionary(
            f => new TruthKey(long.Parse(f[0], CultureInfo.InvariantCulture), f[1], f[2], int.Parse(f[3], CultureInfo.InvariantCulture)),
            f => new TruthRow(Value(f, "phase_rad"), Value(f, "motion_m_per_s"), Value(f, "image_shift_samples"), Value(f, "signal_electrons")));
    }

    public static ExampleMission Load()
    {
        var profile = JsonDocument.Parse(File.ReadAllText(Path.Combine(Folder!, "profile.json"))).RootElement.GetProperty("instrument");
        var mission = new ExampleMission { Instrument = ReadInstrument(profile), Coefficients = ReadCoefficients() };
        foreach (var file in Directory.GetFiles(Path.Combine(Folder!, "packets")).Order()) mission.ReadPackets(File.ReadAllBytes(file));
        return mission;
    }

    private (Instant Time, double BenchC, double DetectorC) Nearest(Instant time) => housekeeping.MinBy(h => Math.Abs(h.Time - time));

    private void ReadPackets(byte[] bytes)
    {
        var rows = new Dictionary<(long, ExposureKind, int, int), (Instant Time, double IntegrationS, ushort[]?[] Rows)>();
        for (var at = 0; at < bytes.Length;)
        {
            var length = BinaryPrimitives.ReadUInt16BigEndian(bytes.AsSpan(at + 4)) + 7;
            var packet = bytes.AsSpan(at, length);
            at += length;
            var apid = BinaryPrimitives.ReadUInt16BigEndian(packet) & 0x7FF;
            var day = BinaryPrimitives.ReadUInt16BigEndian(packet[6..]) - 4383; // days from 1958-01-01 to 1970-01-01
            var time = Instant.FromUnixDay(day, BinaryPrimitives.ReadUInt32BigEndian(packet[8..]) * 1_000_000L + BinaryPrimitives.ReadUInt16BigEndian(packet[12..]) * 1000L);
            var body = packet[14..];
            if (apid == 100)
            {
                housekeeping.Add((time, -40 + 0.001 * BinaryPrimitives.ReadUInt16BigEndian(body[2..]), -40 + 0.001 * BinaryPrimitives.ReadUInt16BigEndian(body[4..])));
                continue;
            }
            var key = ((long)BinaryPrimitives.ReadUInt32BigEndian(body), (ExposureKind)body[4], (int)body[5], (int)body[6]);
            if (!rows.TryGetValue(key, out var frame))
                rows[key] = frame = (time, BinaryPrimitives.ReadUInt32BigEndian(body[8..]) * 1e-3, new ushort[]?[Instrument.Rows]);
            var samples = new ushort[Instrument.Samples];
            for (var i = 0; i < samples.Length; i++) samples[i] = BinaryPrimitives.ReadUInt16BigEndian(body[(12 + 2 * i)..]);
            frame.Rows[body[7]] = samples;
        }
        foreach (var (key, frame) in rows)
            Frames.Add(new FringeFrame
            {
                Exposure = key.Item1,
                Kind = key.Item2,
                View = Instrument.Views[key.Item3].Id,
                Line = Instrument.Lines[key.Item4].Id,
                Time = frame.Time,
                IntegrationS = frame.IntegrationS,
                Rows = frame.Rows,
            });
    }

    private static InstrumentModel ReadInstrument(JsonElement e) => new()
    {
        Name = e.GetProperty("name").GetString()!,
        Rows = e.GetProperty("rows").GetInt32(),
        Samples = e.GetProperty("samples").GetInt32(),
        ElectronsPerCount = e.GetProperty("electronsPerCount").GetDouble(),
        ReadNoiseElectrons = e.GetProperty("readNoiseElectrons").GetDouble(),
        SaturationCounts = e.GetProperty("saturationCounts").GetInt32(),
        RowDepressionDeg = Numbers(e.GetProperty("rowDepressionDeg")),
        Views = [.. e.GetProperty("views").EnumerateArray().Select(v => new ViewModel(v.GetProperty("id").GetString()!, v.GetProperty("azimuthDeg").GetDouble()))],
        Lines = [.. e.GetProperty("lines").EnumerateArray().Select(l => new LineModel
        {
            Id = l.GetProperty("id").GetString()!,
            WavelengthVacuumNm = l.GetProperty("wavelengthVacuumNm").GetDouble(),
            Cycles = l.GetProperty("cycles").GetDouble(),
            OpdMm = l.GetProperty("opdMm").GetDouble(),
            OpdStepUm = l.GetProperty("opdStepUm").GetDouble(),
            LampWavelengthVacuumNm = l.GetProperty("lampWavelengthVacuumNm").GetDouble(),
            LampCycles = l.GetProperty("lampCycles").GetDouble(),
        })],
        Fiducials = [.. e.GetProperty("fiducials").EnumerateArray().Select(f =>
            new Fiducial(f.GetProperty("sample").GetDouble(), f.GetProperty("depth").GetDouble(), f.GetProperty("widthSamples").GetDouble()))],
    };

    private static CoefficientSet ReadCoefficients()
    {
        var root = JsonDocument.Parse(File.ReadAllText(Path.Combine(Folder!, "coefficients.json"))).RootElement;
        var dark = root.GetProperty("dark");
        return new CoefficientSet
        {
            Name = root.GetProperty("name").GetString()!,
            ValidFrom = Instant.ParseUtc(root.GetProperty("validFrom").GetString()!),
            Dark = new DarkLaw(dark.GetProperty("biasCounts").GetDouble(), dark.GetProperty("rateElectronsPerS").GetDouble(),
                dark.GetProperty("referenceC").GetDouble(), dark.GetProperty("doublingK").GetDouble()),
            Optics = [.. root.GetProperty("optics").EnumerateArray().Select(o => new OpticsCoefficients
            {
                View = o.GetProperty("view").GetString()!,
                Line = o.GetProperty("line").GetString()!,
                Flat = [.. File.ReadAllLines(Path.Combine(Folder!, o.GetProperty("flat").GetString()!)).Where(l => l.Length > 0)
                    .Select(l => l.Split(',').Select(v => double.Parse(v, CultureInfo.InvariantCulture)).ToArray())],
                DistortionRad = [.. o.GetProperty("distortionRad").EnumerateArray().Select(Numbers)],
                ZeroWindRad = Numbers(o.GetProperty("zeroWindRad")),
                Visibility = o.GetProperty("visibility").GetDouble(),
                EnvelopeM1 = o.GetProperty("envelope")[0].GetDouble(),
                EnvelopeM2 = o.GetProperty("envelope")[1].GetDouble(),
                Thermal = new ThermalLaw(o.GetProperty("thermal").GetProperty("radPerK").GetDouble(), o.GetProperty("thermal").GetProperty("lagS").GetDouble(),
                    o.GetProperty("thermal").GetProperty("referenceC").GetDouble()),
                LampRatio = o.GetProperty("lampRatio").GetDouble(),
                LampPhaseRad = o.GetProperty("lampPhaseRad").GetDouble(),
                LampElectrons = o.GetProperty("lampElectrons").GetDouble(),
                LampVisibility = o.GetProperty("lampVisibility").GetDouble(),
            })],
            ImageShift = [.. root.GetProperty("imageShift").EnumerateArray().Select(s => new ImageShiftLaw(s.GetProperty("view").GetString()!,
                s.GetProperty("samplesPerK").GetDouble(), s.GetProperty("referenceC").GetDouble(), s.GetProperty("offsetSamples").GetDouble()))],
        };
    }

    private static double[] Numbers(JsonElement array) => [.. array.EnumerateArray().Select(v => v.GetDouble())];

    private static string? Find()
    {
        for (var folder = new DirectoryInfo(AppContext.BaseDirectory); folder is not null; folder = folder.Parent)
        {
            var path = Path.Combine(folder.FullName, "shared", "example-mission");
            if (File.Exists(Path.Combine(path, "truth.csv"))) return path;
        }
        return null;
    }
}
