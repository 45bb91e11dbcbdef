using System.Net;
using Bunit;
using Dapper;
using Phasekeeper.Core.Time;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Coefficients;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Coefficients;

/// <summary>While a decision is being followed, pages say which orbits are old and which are new.</summary>
[Collection(MissionHostGroup.Name)]
public sealed class OldProductsTests(MissionHost host) : MissionPageTests(host)
{
    private static readonly Dictionary<long, string> Names = new() { [1] = "ground 1" };

    [Fact]
    public void What_is_old_in_work_and_new_is_said_in_words()
    {
        var products = new OldProducts([10, 11, 12, 13, 14], new Dictionary<int, long> { [10] = 1, [11] = 1 }, [12], Names, IsHeld: false);
        Assert.Equal("2 of these 5 orbits still have the products of the former set 1 'ground 1' (old): 10–11 (2 orbits). 12 is being made again just now. The others are made with the set in force (new). Reprocessing goes on, newest first.", products.Sentences);
        Assert.Equal(["old", "old", "in work", "new", "new"], products.All.Select(products.WordOf));
        Assert.Equal("This orbit still has the products of the former set 1 'ground 1' (old). Reprocessing is held.", new OldProducts([10], new Dictionary<int, long> { [10] = 1 }, [], Names, IsHeld: true).Sentences);
        Assert.Empty(Render<OldProductsNotice>().Markup.Trim());
        var notice = Render<OldProductsNotice>(p => p.Add(x => x.Products, products).Add(x => x.Decision, 4L).Add(x => x.Day, new DateOnly(2031, 5, 9)));
        Assert.Contains("/coefficients?decision=4&amp;day=2031-05-09#versions-title", notice.Markup, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Today_and_Winds_tell_old_from_new_and_lead_to_both_versions()
    {
        var (orbit, first) = (Host.Stores.WindBins.Newest()!.Value, Host.Stores.Coefficients.Decisions()[0].Id);
        var day = Host.Stores.Orbits.Get(orbit)!.Start.UtcDate.ToString("yyyy-MM-dd", System.Globalization.CultureInfo.InvariantCulture);
        var now = Instant.FromUtc(2031, 5, 9);
        var profiles = Host.Stores.Winds.OfOrbit(orbit).Take(4).Select(FormerWind.Of).ToArray();
        await Host.Stores.Database.WriteAsync(t =>
        {
            ReprocessingStore.Add(t, new() { Decision = first, FromTime = Instant.MinValue, FirstOrbit = orbit, LastOrbit = orbit, Orbits = 1, Started = now });
            ReprocessingStore.Put(t, first, [(orbit, first)]);
            FormerWindStore.Keep(t, first, profiles);
        });
        try
        {
            var today = await Page("/");
            Assert.Contains("still has the products of the former set 1", today, StringComparison.Ordinal);
            Assert.Contains("Coefficients</span>", today, StringComparison.Ordinal);
            foreach (var address in new[] { $"/winds?date={day}", $"/winds/compare?date={day}", $"/winds/budget?orbit={orbit}", $"/winds/corrections?orbit={orbit}" })
            {
                var page = await Page(address);
                Assert.Contains("the products of the former set 1 'ground", page, StringComparison.Ordinal);
                Assert.Contains($"/coefficients?decision={first}&day={day}#versions-title", page, StringComparison.Ordinal);
            }
            Assert.Contains($"Both versions of {day}", await Page($"/coefficients?decision={first}&day={day}"), StringComparison.Ordinal);
        }
        finally
        {
            await Host.Stores.Database.WriteAsync(t =>
            {
                ReprocessingStore.SetWorking(t, [orbit]);
                ReprocessingStore.FinishWorking(t, [orbit], null);
                FormerWindStore.Retire(t, first);
                t.Connection!.Execute("DELETE FROM reprocessing", transaction: t);
            });
        }
        Assert.DoesNotContain("former set", await Page("/"), StringComparison.Ordinal);
    }

    private async Task<string> Page(string address) => WebUtility.HtmlDecode(await Host.Page(address));
}
