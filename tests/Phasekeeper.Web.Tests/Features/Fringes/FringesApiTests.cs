using System.Net;
using System.Text.Json;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Fringes;

[Collection(ShortMission.Collection)]
public sealed class FringesApiTests(ShortMission host)
{
    // contract.md section 4.
    private const string Columns =
        "time,exposure,kind,view,line,row,phaseRad,phaseSigmaRad,visibility,signalElectrons,chiSquare,maskedSamples,imageShiftSamples,imageShiftSigmaSamples,velocityRemovedMs,coefficientSet,softwareVersion";

    [Fact]
    public Task Fringes_have_the_contracts_columns_in_json_and_csv() => host.Api.Holds("fringes", Columns);

    [Fact]
    public async Task Pages_hold_every_row_once()
    {
        var all = await host.Api.Json("fringes");
        // A number that divides no exposure's rows, so that pages end within exposures.
        Assert.Equal(all.Select(r => r.GetRawText()), (await host.Api.Paged("fringes", 37)).Select(r => r.GetRawText()));
    }

    [Fact]
    public async Task Kind_view_and_line_narrow_the_list()
    {
        var all = await host.Api.Json("fringes");
        var expected = all.Where(r => (r.GetProperty("kind").GetString(), r.GetProperty("view").GetString(), r.GetProperty("line").GetString()) == ("lamp", "A", "red")).ToArray();
        Assert.NotEmpty(expected);
        Assert.Equal(expected.Select(r => r.GetRawText()), (await host.Api.Json("fringes?kind=lamp&view=A&line=red")).Select(r => r.GetRawText()));
    }

    [Fact]
    public async Task From_is_inclusive_and_to_exclusive()
    {
        var times = (await host.Api.Json("fringes?kind=scene")).Select(r => r.GetProperty("time").GetString()).Distinct().ToArray();
        var found = (await host.Api.Json($"fringes?kind=scene&from={times[1]}&to={times[3]}")).Select(r => r.GetProperty("time").GetString()).Distinct();
        Assert.Equal(times[1..3], found);
    }

    [Fact]
    public async Task Scene_rows_have_a_phase_and_the_motion_that_was_taken_out()
    {
        var rows = await host.Api.Json("fringes?kind=scene");
        // cos 45° and some of 7.6 km/s.
        Assert.All(rows, r => Assert.InRange(Math.Abs(r.GetProperty("velocityRemovedMs").GetDouble()), 4000, 6500));
        // Rows above the airglow have no fringe to be told from noise, and say so by null in all that would follow from one.
        Assert.All(rows, r => Assert.Equal(r.GetProperty("phaseRad").ValueKind, r.GetProperty("phaseSigmaRad").ValueKind));
        var retrieved = rows.Where(r => r.GetProperty("phaseRad").ValueKind == JsonValueKind.Number).ToArray();
        Assert.InRange(retrieved.Length, 0.8 * rows.Count, rows.Count);
        Assert.All(retrieved, r =>
        {
            Assert.InRange(r.GetProperty("phaseRad").GetDouble(), -Math.PI, Math.PI);
            Assert.InRange(r.GetProperty("phaseSigmaRad").GetDouble(), 1e-5, 1);
        });
        var lamps = await host.Api.Json("fringes?kind=lamp");
        Assert.All(lamps, r => Assert.Equal(0, r.GetProperty("velocityRemovedMs").GetDouble()));
    }

    [Theory]
    [InlineData("fringes?view=Q", "Query parameter 'view': found 'Q'; expected one of F, A.")]
    [InlineData("fringes?line=blue", "Query parameter 'line': found 'blue'; expected one of green, red.")]
    [InlineData("fringes?kind=bright", "Query parameter 'kind': found 'bright'; expected one of scene, lamp, dark, flat.")]
    [InlineData("fringes?next=nonsense!", "Query parameter 'next': found 'nonsense!'; expected the 'next' of an earlier answer")]
    [InlineData("fringes?from=noon", "Query parameter 'from': found 'noon'")]
    public async Task A_mistake_is_answered_with_what_was_found_and_expected(string call, string message) =>
        Assert.StartsWith(message, await host.Api.Refused(call, HttpStatusCode.BadRequest), StringComparison.Ordinal);
}
