using Phasekeeper.Core.Coefficients.Evidence;
using Phasekeeper.Pipeline.Coefficients.Evidence;
using Phasekeeper.Pipeline.Coefficients.Fits;

namespace Phasekeeper.Pipeline.Tests.Coefficients.Evidence;

/// <summary>Evidence and fits that were stored before orbits at the end of the window were held out are read as they were.</summary>
public class EvidenceJsonTests
{
    private const string Old = """
        {"version":1,"against":1,"againstName":"ground","fittedOrbits":[1,3],"heldOutOrbits":[2],"residuals":[{"measure":"lamp","view":"F","line":"green","unit":"m/s",
        "fitted":{"orbits":2,"points":20,"rmsBefore":4,"rmsAfter":2,"meanBefore":0.1,"meanAfter":0,"ratioSigma":0.1},
        "heldOut":{"orbits":1,"points":10,"rmsBefore":4,"rmsAfter":2.5,"meanBefore":0.1,"meanAfter":0,"ratioSigma":null}}],
        "residualOrbits":[{"orbit":2,"time":"2031-05-09T00:00:00Z","heldOut":true,"measure":"lamp","view":"F","line":"green","rmsBefore":4,"rmsAfter":2.5}],
        "windsByView":[],"windsByAltitude":[],"windsByLatitude":[],"windOrbits":[],"reprocessing":{"orbits":0,"days":[],"estimatedS":0,"basis":"none"}}
        """;

    [Fact]
    public void Stored_evidence_without_later_orbits_and_counts_is_still_read()
    {
        var evidence = EvidenceJson.Read(Old)!;
        Assert.Equal([2], evidence.HeldOutOrbits);
        Assert.Empty(evidence.HeldOutLaterOrbits);
        var lamp = Assert.Single(evidence.Residuals);
        Assert.Equal((2.5, null, null, 0), (lamp.HeldOut!.RmsAfter, lamp.HeldOutLater, lamp.HeldOut.MeasuredBefore, lamp.HeldOut.Lost));
        Assert.Equal(0, lamp.HeldOut.LostShare());
        Assert.False(Assert.Single(evidence.ResidualOrbits).Later);
        Assert.Empty(EvidenceWarnings.Of(evidence.Residuals, 1));
        Assert.Null(evidence.FlagSeriesContinued);
    }

    [Fact]
    public void New_evidence_comes_back_with_both_groups_and_counts()
    {
        var figures = new ResidualFigures(2, 20, 4, 2, 0.1, 0, 0.1) { MeasuredBefore = 20, MeasuredAfter = 18, Lost = 3, MostLostOrbit = 5 };
        var evidence = EvidenceJson.Read(Old)!;
        evidence = evidence with { HeldOutLaterOrbits = [4, 5], Residuals = [evidence.Residuals[0] with { HeldOutLater = figures }], ResidualOrbits = [evidence.ResidualOrbits[0] with { Later = true }] };
        var text = EvidenceJson.Write(evidence);
        var read = EvidenceJson.Read(text)!;
        Assert.Equal(text, EvidenceJson.Write(read));
        Assert.Equal([4, 5], read.HeldOutLaterOrbits);
        Assert.Equal((figures, true), (read.Residuals[0].HeldOutLater, read.ResidualOrbits[0].Later));
        Assert.Contains("\"heldOutLater\":{", text, StringComparison.Ordinal);
    }

    [Fact]
    public void A_stored_fit_without_later_orbits_is_still_read() =>
        Assert.Empty(FitDocument.Read("""{"request":{"firstOrbit":1,"lastOrbit":3,"parts":["dark"],"holdOutEvery":4},"from":1,"fitted":[1,3],"heldOut":[2],"numbers":[]}""").HeldOutLater);
}
