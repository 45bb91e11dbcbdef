using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Thermal;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Mission;

namespace Phasekeeper.Pipeline.Stages;

/// <summary>Everything besides the counts that the retrieval of one frame reads.</summary>
/// <param name="DetectorC">Detector temperature, °C; NaN when not known.</param>
/// <param name="PredictedShift">Image shift by the bench law, samples.</param>
/// <param name="MotionMs">w0 of each row, m/s; NaN where not known; empty unless a scene.</param>
/// <param name="Coefficients">Set in force.</param>
/// <param name="EphemerisFile">Orbit file that gave the motion; null when there is none, or not a scene.</param>
/// <param name="CoefficientHash">Fingerprint of the set.</param>
public sealed record RetrievalCondition(double DetectorC, double PredictedShift, double[] MotionMs, CoefficientsInForce Coefficients, long? EphemerisFile, byte[] CoefficientHash)
{
    /// <summary>Fingerprint of the conditions together with the rows' own.</summary>
    public byte[] Hash(byte[] rows) => RowsDigest.OfRetrieval(rows, DetectorC, PredictedShift, MotionMs, CoefficientHash);
}

/// <summary>Conditions of the frames of one stretch. Looks are computed once an exposure; safe for several threads.</summary>
public sealed class RetrievalConditions(MissionState mission, TemperatureSeries detectorC, TemperatureSeries benchC)
{
    private readonly Dictionary<Instant, ExposureLooks?> looks = [];

    /// <summary>Conditions of a frame.</summary>
    public RetrievalCondition Of(FringeFrame frame) => Of(frame.Time, frame.Kind, frame.View);

    /// <summary>Conditions of the frame behind a result.</summary>
    public RetrievalCondition Of(FringeResult result) => Of(result.Time, result.Kind, result.View);

    private RetrievalCondition Of(Instant time, ExposureKind kind, string view)
    {
        var coefficients = mission.Coefficients.At(time)
            ?? throw new InvalidOperationException($"No coefficient set is in force at {time}: the first one of a mission counts from the beginning, so the store has lost it.");
        var law = coefficients.Set.ImageShiftOf(view);
        var bench = TemperatureLookup.At(benchC, time);
        var shift = double.IsNaN(bench) ? law.OffsetSamples : law.ShiftAt(bench);
        var rows = mission.Instrument!.Rows;
        double[] motion = [];
        long? file = null;
        if (kind == ExposureKind.Scene)
        {
            var look = LooksAt(time);
            file = look?.Ephemeris.FileId;
            motion = look is null ? [.. Enumerable.Repeat(double.NaN, rows)] : RowsDigest.Motion(look.Looks[IndexOf(view)]);
        }
        return new(TemperatureLookup.At(detectorC, time), shift, motion, coefficients, file, coefficients.Hash);
    }

    private int IndexOf(string view)
    {
        var views = mission.Instrument!.Views;
        for (var i = 0; i < views.Count; i++)
            if (views[i].Id == view) return i;
        throw new ArgumentException($"The instrument has no view {view}.", nameof(view));
    }

    private ExposureLooks? LooksAt(Instant time)
    {
        lock (looks)
        {
            if (!looks.TryGetValue(time, out var found)) looks.Add(time, found = LookTable.At(time, mission));
            return found;
        }
    }
}
