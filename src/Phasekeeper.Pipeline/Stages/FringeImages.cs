using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Stages;

/// <summary>
/// The counts of exposures, decoded again from the archive (they are not kept elsewhere), and the fit of their rows under the conditions in force.
/// Safe for several threads.
/// </summary>
public sealed class FringeImages(Stores stores, MissionFolder folder)
{
    // Chosen: rows of an exposure are read out and sent within this of its middle; only images are searched this way, products never.
    private const double AroundS = 600;
    private readonly TemperatureLookup temperatures = new(stores);

    /// <summary>The counts behind a result; null when the archive does not hold them any more.</summary>
    public FringeFrame? Read(FringeResult result, MissionState mission)
    {
        if (mission.Instrument is not { } instrument) return null;
        var reach = AroundS + result.IntegrationS;
        var packets = stores.Archive.ReadPackets(result.Time.AddSeconds(-reach), result.Time.AddSeconds(reach)).ToArray();
        var rows = new HourDecoder(folder.Plan, folder.Profile).Decode(Hour.Of(result.Time), packets).Rows
            .Where(r => r.Row.Exposure == result.Exposure && r.Row.Kind == result.Kind && r.Row.View == result.View && r.Row.Line == result.Line);
        return FringeAssembler.Assemble(rows, instrument).Frames.Select(f => f.Frame).MinBy(f => Math.Abs(f.Time - result.Time));
    }

    /// <summary>A row of a frame with the model fitted to it; null when the row's packet is missing.</summary>
    public FittedRow? Fit(FringeFrame frame, int row, MissionState mission)
    {
        if (mission.Instrument is not { } instrument) return null;
        var (from, to) = (frame.Time.AddSeconds(-2 * TemperatureLookup.LongestGapS), frame.Time.AddSeconds(2 * TemperatureLookup.LongestGapS));
        var condition = new RetrievalConditions(mission,
            temperatures.Series(mission.Profile.DetectorTemperature, from, to), temperatures.Series(mission.Profile.BenchTemperature, from, to)).Of(frame);
        return new FringeRetrieval(instrument, condition.Coefficients.Set, frame.View, frame.Line)
            .Fitted(frame, condition.DetectorC, condition.MotionMs, condition.PredictedShift, row);
    }
}
