using Phasekeeper.Core.Coefficients.Evidence;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Pipeline.Winds;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Coefficients.Evidence;

/// <summary>What the trackers that compare winds say of an orbit whose winds were made for the evidence: difference of the lines, and of the two legs.</summary>
internal static class WindResiduals
{
    /// <summary>Residuals of an orbit, one point each. Looks of the next orbit are not made, so vectors of the last minutes are missing, with both sets alike.</summary>
    public static IEnumerable<OrbitResidual> Of(OrbitSlot orbit, OrbitAnalysis analysis, MissionState mission, IReadOnlyList<StoredLosWind> winds)
    {
        if (mission.Instrument is not { } instrument) return [];
        var values = WindVectorStage.Trackers(orbit, mission, Instant.MaxValue, analysis.Input.Fringes, winds, WindVectorStage.Vectors(orbit, instrument, winds));
        OrbitWind[] alongSight = [.. winds.SelectMany(WindVectorStage.AlongSight)];
        return [.. ProposalResiduals.OfTracker(ResidualMeasures.WindGreenRed, "green-red-difference", values, "m/s"), .. ProposalResiduals.LinesWithTemperature(analysis, alongSight), .. ProposalResiduals.OfTracker(ResidualMeasures.WindLegs, "ascending-descending-difference", values, "m/s")];
    }
}
