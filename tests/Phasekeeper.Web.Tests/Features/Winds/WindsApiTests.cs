using System.Net;
using System.Text.Json;
using Phasekeeper.Core.Winds;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Winds;

[Collection(ShortMission.Collection)]
public sealed class WindsApiTests(ShortMission host)
{
    // contract.md section 4.
    private const string LosColumns =
        "time,exposure,view,line,row,orbit,latitudeDeg,longitudeDeg,altitudeKm,azimuthDeg,windMs,sigmaMs,apparentMs,apparentSigmaMs,verticalResolutionKm,quality,qualityReasons,coefficientSet,softwareVersion,held";
    private const string VectorColumns =
        "time,line,orbit,latitudeDeg,longitudeDeg,altitudeKm,secondsBetweenLooks,eastwardMs,northwardMs,eastwardSigmaMs,northwardSigmaMs,covarianceM2S2,quality,qualityReasons,coefficientSet,softwareVersion,held";

    [Fact]
    public async Task Winds_have_the_contracts_columns_in_json_and_csv()
    {
        await host.Api.Holds("winds/los", LosColumns);
        await host.Api.Holds("winds/vector", VectorColumns);
    }

    [Theory]
    [InlineData("winds/los")]
    [InlineData("winds/vector")]
    public async Task Pages_hold_every_row_once(string call)
    {
        var all = await host.Api.Json(call);
        Assert.Equal(all.Select(r => r.GetRawText()), (await host.Api.Paged(call, 37)).Select(r => r.GetRawText()));
    }

    [Theory]
    [InlineData("winds/los", "view=A&line=red")]
    [InlineData("winds/vector", "line=green")]
    public async Task View_line_and_times_narrow_the_list(string call, string which)
    {
        var all = await host.Api.Json(call);
        var wanted = which.Split('&').Select(w => w.Split('=')).ToArray();
        var expected = all.Where(r => wanted.All(w => r.GetProperty(w[0]).GetString() == w[1])).ToArray();
        Assert.InRange(expected.Length, 1, all.Count - 1);
        Assert.Equal(expected.Select(r => r.GetRawText()), (await host.Api.Json($"{call}?{which}")).Select(r => r.GetRawText()));

        string[] times = [.. all.Select(r => r.GetProperty("time").GetString()!).Distinct().Order(StringComparer.Ordinal)];
        var (from, to) = (times[times.Length / 3], times[2 * times.Length / 3]);
        Assert.Equal(all.Where(r => string.CompareOrdinal(r.GetProperty("time").GetString(), from) >= 0 && string.CompareOrdinal(r.GetProperty("time").GetString(), to) < 0).Select(r => r.GetRawText()),
            (await host.Api.Json($"{call}?from={from}&to={to}")).Select(r => r.GetRawText()));
    }

    [Fact]
    public async Task What_is_not_good_says_why_and_every_word_is_explained()
    {
        var rows = (await host.Api.Json("winds/los")).Concat(await host.Api.Json("winds/vector")).ToArray();
        Assert.All(rows, r => Assert.Equal(r.GetProperty("quality").GetString() == "good", r.GetProperty("qualityReasons").GetArrayLength() == 0));
        foreach (var word in rows.SelectMany(r => r.GetProperty("qualityReasons").EnumerateArray()).Select(w => w.GetString()!).Distinct()) WindReasonCatalog.Find(word);
        Assert.Equal(["bad", "doubtful", "good"], rows.Select(r => r.GetProperty("quality").GetString()).Distinct().Order());
        Assert.All(rows, r => Assert.Equal(JsonValueKind.Number, r.GetProperty("coefficientSet").ValueKind));
    }

    [Fact]
    public async Task Winds_and_sigmas_are_there_together_and_within_what_air_does()
    {
        var rows = await host.Api.Json("winds/los");
        Assert.All(rows, r =>
        {
            Assert.Equal(r.GetProperty("windMs").ValueKind, r.GetProperty("sigmaMs").ValueKind);
            Assert.Equal(r.GetProperty("apparentMs").ValueKind, r.GetProperty("apparentSigmaMs").ValueKind);
            Assert.InRange(r.GetProperty("azimuthDeg").GetDouble(), 0, 360);
        });
        var good = rows.Where(r => r.GetProperty("quality").GetString() == "good").ToArray();
        Assert.NotEmpty(good);
        Assert.All(good, r => Assert.InRange(Math.Abs(r.GetProperty("windMs").GetDouble()), 0, 300));
        Assert.All(good, r => Assert.InRange(r.GetProperty("altitudeKm").GetDouble(), 80, 330));
    }

    [Theory]
    [InlineData("winds/los?view=Q", "Query parameter 'view': found 'Q'; expected one of F, A.")]
    [InlineData("winds/vector?line=blue", "Query parameter 'line': found 'blue'; expected one of green, red.")]
    [InlineData("winds/los?next=nonsense!", "Query parameter 'next': found 'nonsense!'; expected the 'next' of an earlier answer")]
    public async Task A_mistake_is_answered_with_what_was_found_and_expected(string call, string message) =>
        Assert.StartsWith(message, await host.Api.Refused(call, HttpStatusCode.BadRequest), StringComparison.Ordinal);

    [Fact]
    public async Task Both_calls_are_described()
    {
        var document = JsonDocument.Parse(await host.Api.Client.GetStringAsync(new Uri("/openapi/v1.json", UriKind.Relative)));
        foreach (var (path, columns) in new[] { ("/api/v1/winds/los", LosColumns), ("/api/v1/winds/vector", VectorColumns) })
        {
            var call = document.RootElement.GetProperty("paths").GetProperty(path).GetProperty("get");
            Assert.Contains("weak-emission", call.GetProperty("description").GetString(), StringComparison.Ordinal);
            Assert.Contains("from", call.GetProperty("parameters").EnumerateArray().Select(p => p.GetProperty("name").GetString()));
            Assert.Contains(columns.Split(',')[^4], document.RootElement.GetRawText(), StringComparison.Ordinal);
        }
    }
}
