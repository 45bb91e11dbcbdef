using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Instrument;
using Phasekeeper.Core.Thermal;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Trackers;

/// <summary>A view and line of the instrument with its coefficients.</summary>
public sealed record OpticalChannel(string View, LineModel Line, OpticsCoefficients Optics);

/// <summary>
/// An orbit's input with what several trackers (and later the winds) need from it, each made once when first asked for: s(t) of each view, lamp drift and
/// c(t) of each view and line. Not for use by several threads at once.
/// </summary>
public sealed class OrbitAnalysis
{
    private readonly Dictionary<string, SmoothImageShift> _shifts = new(StringComparer.Ordinal);
    private readonly Dictionary<(string, string), LampAnchoredDrift> _drifts = [];
    private readonly Dictionary<double, LaggedTemperature> _lagged = [];

    /// <summary>Prepares the analysis; nothing is computed yet.</summary>
    public OrbitAnalysis(OrbitInput input)
    {
        if (input.End <= input.Start)
            throw new ArgumentException($"Orbit {input.Orbit} ends at {input.End}, not after its start {input.Start}; expected start < end.", nameof(input));
        Input = input;
        Channels = input.Instrument is not { } instrument || input.Coefficients is not { } set
            ? []
            : [.. from view in instrument.Views from line in instrument.Lines let optics = set.OpticsOf(view.Id, line.Id) where optics is not null select new OpticalChannel(view.Id, line, optics)];
    }

    /// <summary>What it was made from.</summary>
    public OrbitInput Input { get; }

    /// <summary>Views and lines that have coefficients, in the instrument's order; empty for housekeeping only.</summary>
    public IReadOnlyList<OpticalChannel> Channels { get; }

    /// <summary>View ids in the instrument's order.</summary>
    public IReadOnlyList<string> Views => Input.Instrument is { } instrument ? [.. instrument.Views.Select(v => v.Id)] : [];

    /// <summary>Line ids in the instrument's order.</summary>
    public IReadOnlyList<string> Lines => Input.Instrument is { } instrument ? [.. instrument.Lines.Select(l => l.Id)] : [];

    /// <summary>Length of the orbit, s.</summary>
    public double OrbitS => Input.End - Input.Start;

    /// <summary>True when values that lean on neighbouring orbits may still change.</summary>
    public bool NeighboursMissing => !Input.NeighboursComplete;

    /// <summary>Time given to the orbit's values: the middle of its exposures, or of the orbit when it has none.</summary>
    public Instant MiddleOfData => Input.Fringes.Count == 0
        ? Input.Start.AddSeconds(OrbitS / 2)
        : Input.Fringes[0].Time.AddSeconds((Input.Fringes[^1].Time - Input.Fringes[0].Time) / 2);

    /// <summary>True for a moment inside the orbit.</summary>
    public bool Contains(Instant time) => time >= Input.Start && time < Input.End;

    /// <summary>This orbit's results of one kind, view and line, in time order.</summary>
    public IEnumerable<FringeResult> Exposures(ExposureKind kind, string view, string line) =>
        Input.Fringes.Where(f => f.Kind == kind && f.View == view && f.Line == line);

    /// <summary>Lamp results of the whole window (neighbours too) of a view and line, in time order.</summary>
    public FringeResult[] WindowLamps(string view, string line) =>
        [.. Input.NeighbourLamps.Where(f => f.Time < Input.Start).Concat(Input.Fringes).Concat(Input.NeighbourLamps.Where(f => f.Time >= Input.End))
            .Where(f => f.Kind == ExposureKind.Lamp && f.View == view && f.Line == line && f.Time >= Input.WindowStart && f.Time <= Input.WindowEnd)];

    /// <summary>This orbit's own fiducial measurements of a view, in time order.</summary>
    public IEnumerable<ImageShiftMeasurement> OwnShifts(string view) => Input.Fringes
        .Where(f => f.View == view && double.IsFinite(f.ImageShiftSamples) && f.ImageShiftSigmaSamples > 0)
        .Select(f => new ImageShiftMeasurement(f.Time, view, f.ImageShiftSamples, f.ImageShiftSigmaSamples));

    /// <summary>T_lag over the window for a lag; only the 20τ of look-back that domain.md states are used, so that longer input changes nothing.</summary>
    public LaggedTemperature Lagged(double lagS)
    {
        if (_lagged.TryGetValue(lagS, out var known)) return known;
        return _lagged[lagS] = new LaggedTemperature(Input.InterferometerC.Between(Input.TemperatureFrom(lagS), Input.WindowEnd.AddSeconds(lagS)), lagS);
    }

    /// <summary>s(t) of a view.</summary>
    public SmoothImageShift Shift(string view)
    {
        if (_shifts.TryGetValue(view, out var known)) return known;
        var law = Input.Coefficients?.ImageShiftOf(view) ?? new ImageShiftLaw(view, 0, 0, 0);
        ImageShiftMeasurement[] all = [.. Input.NeighbourShifts.Where(m => m.View == view && !Contains(m.Time)).Concat(OwnShifts(view)).OrderBy(m => m.Time.TaiNanoseconds)];
        return _shifts[view] = SmoothImageShift.Fit(law, Input.BenchC, all, Input.WindowStart, Input.WindowEnd, OrbitS);
    }

    /// <summary>φ_opt(t) of a view and line with its lamp exposures.</summary>
    public LampAnchoredDrift Drift(OpticalChannel channel)
    {
        if (_drifts.TryGetValue((channel.View, channel.Line.Id), out var known)) return known;
        var law = channel.Optics.Thermal;
        var model = new ThermalModel(law, Lagged(law.LagS));
        var shift = Shift(channel.View);
        var points = OpticalDrift.Measure(Input.Instrument!, channel.Line, channel.Optics, WindowLamps(channel.View, channel.Line.Id), model, shift);
        return _drifts[(channel.View, channel.Line.Id)] = LampAnchoredDrift.Fit(model, shift, points, Input.WindowStart, Input.WindowEnd, OrbitS);
    }

    /// <summary>The lamp exposures of this orbit alone whose T_lag does not hang on an unknown start.</summary>
    public LampDriftPoint[] OwnLampPoints(OpticalChannel channel) => [.. Drift(channel).Points.Where(p => Contains(p.Time) && !p.LaggedC.NearGap)];
}
