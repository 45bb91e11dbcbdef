using System.Text.Json;
using System.Text.Json.Serialization;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Winds;

namespace Phasekeeper.Storage.Tests.Winds;

public sealed class WindStoreTests
{
    private const int Detector = 5;
    private static readonly Instant Start = Instant.FromUtc(2031, 3, 1, 12, 0, 0);
    private static readonly JsonSerializerOptions Json = new() { NumberHandling = JsonNumberHandling.AllowNamedFloatingPointLiterals };

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public async Task Winds_come_back_bit_for_bit_whether_rounded_or_not(bool rounded)
    {
        using var temp = new TempStores();
        var winds = Winds(1, 9).Select(w => rounded ? w with { Profile = w.Profile.Rounded() } : w).ToList();
        await temp.Write(t => WindStore.ReplaceOrbit(t, 7, winds));
        var back = temp.Stores.Winds.Read(Start, Start.AddSeconds(7200));
        Assert.Equal(winds.Select(w => Text(w)), back.Select(w => Text(w with { Id = 0 })));
        Assert.Equal(winds.Select(w => w.InputHash), temp.Stores.Winds.HashesOfOrbit(7));
    }

    [Fact]
    public void Rounding_twice_changes_nothing_more_and_little_the_first_time()
    {
        var profile = Winds(2, 1)[0].Profile;
        var once = profile.Rounded();
        Assert.Equal(Text(once), Text(once.Rounded()));
        Assert.All(profile.Rows.Zip(once.Rows).Where(p => double.IsFinite(p.First.WindMs)), p => Assert.Equal(p.First.WindMs, p.Second.WindMs, 1e-5));
        Assert.All(profile.CovarianceM2S2.Zip(once.CovarianceM2S2), p => Assert.Equal(p.First, p.Second, Math.Abs(p.First) * 1e-4));
        Assert.All(profile.AveragingKernel.Zip(once.AveragingKernel), p => Assert.Equal(p.First, p.Second, 1.3e-4));
    }

    [Fact]
    public async Task Single_precision_takes_less_than_two_thirds_of_the_room()
    {
        using var temp = new TempStores();
        var winds = Winds(3, 40);
        async Task<long> Bytes(IEnumerable<StoredLosWind> which)
        {
            await temp.Write(t => WindStore.ReplaceOrbit(t, 7, which));
            return temp.Stores.Database.Read(c => Dapper.SqlMapper.ExecuteScalar<long>(c, "SELECT sum(length(vectors)) FROM losWind"));
        }
        Assert.True(await Bytes(winds.Select(w => w with { Profile = w.Profile.Rounded() })) < 0.66 * await Bytes(winds));
    }

    [Theory]
    [InlineData(1)]
    [InlineData(4)]
    [InlineData(7)]
    [InlineData(1000)]
    public async Task Pages_of_rows_put_together_are_all_rows(int limit)
    {
        using var temp = new TempStores();
        var winds = Winds(4, 6);
        await temp.Write(t => WindStore.ReplaceOrbit(t, 7, winds));
        var rows = new List<StoredLosWindRow>();
        string? next = null;
        do
        {
            var page = temp.Stores.Winds.ListRows(Start, Start.AddSeconds(7200), limit, next, "F");
            Assert.True(page.Items.Count <= limit);
            rows.AddRange(page.Items);
            next = page.Next;
        }
        while (next is not null);
        Assert.Equal(winds.Where(w => w.Profile.View == "F").SelectMany(w => Enumerable.Range(0, Detector).Select(r => (w.Profile.Exposure, w.Profile.Line, r))),
            rows.Select(r => (r.Stored.Profile.Exposure, r.Stored.Profile.Line, r.Wind.Row)));
    }

    [Theory]
    [InlineData(3)]
    [InlineData(10)]
    [InlineData(47)]
    public async Task Pages_go_on_where_they_were_while_orbits_are_computed_again(int limit)
    {
        using var temp = new TempStores();
        var winds = Winds(7, 6);
        var (early, late) = (winds[..12], winds[12..].ConvertAll(w => w with { Orbit = 8 }));
        await temp.Write(t => WindStore.ReplaceOrbit(t, 8, late));
        await temp.Write(t => WindStore.ReplaceOrbit(t, 7, early));
        var rows = await PagesWhile(next => temp.Stores.Winds.ListRows(Start, Start.AddSeconds(7200), limit, next), async () =>
        {
            await temp.Write(t => WindStore.ReplaceOrbit(t, 7, early));
            await temp.Write(t => WindStore.ReplaceOrbit(t, 8, late));
        });
        Assert.Equal(winds.SelectMany(w => Enumerable.Range(0, Detector).Select(r => (w.Profile.Time, w.Profile.View, w.Profile.Line, r))),
            rows.Select(r => (r.Time, r.Stored.Profile.View, r.Stored.Profile.Line, r.Wind.Row)));
    }

    [Fact]
    public async Task A_page_that_ended_in_an_exposure_that_is_gone_goes_on_with_the_next_one()
    {
        using var temp = new TempStores();
        var winds = Winds(8, 3);
        await temp.Write(t => WindStore.ReplaceOrbit(t, 7, winds));
        var first = temp.Stores.Winds.ListRows(Start, Start.AddSeconds(7200), 2 * Detector + 2);
        await temp.Write(t => WindStore.ReplaceOrbit(t, 7, [.. winds.Take(2), .. winds.Skip(3)]));
        var rest = temp.Stores.Winds.ListRows(Start, Start.AddSeconds(7200), 1000, first.Next).Items;
        Assert.Equal(winds.Skip(3).SelectMany(w => Enumerable.Range(0, Detector).Select(r => (w.Profile.Time, w.Profile.View, w.Profile.Line, r))),
            rest.Select(r => (r.Time, r.Stored.Profile.View, r.Stored.Profile.Line, r.Wind.Row)));
    }

    [Fact]
    public void Pages_are_found_by_index() => QueryPlan.IsOneSearch(WindStore.PageSql, "(time,exposure,view,line)>(");

    internal static async Task<List<T>> PagesWhile<T>(Func<string?, Page<T>> read, Func<Task> between)
    {
        var rows = new List<T>();
        string? next = null;
        do
        {
            var page = read(next);
            rows.AddRange(page.Items);
            next = page.Next;
            await between();
        }
        while (next is not null);
        return rows;
    }

    [Fact]
    public async Task An_exposure_that_moved_to_another_orbit_is_there_once()
    {
        using var temp = new TempStores();
        var winds = Winds(5, 4);
        await temp.Write(t => WindStore.ReplaceOrbit(t, 7, winds));
        await temp.Write(t => WindStore.ReplaceOrbit(t, 8, [.. winds.TakeLast(8).Select(w => w with { Orbit = 8 })]));
        Assert.Equal(8, temp.Stores.Winds.OfOrbit(7).Count);
        Assert.Equal(8, temp.Stores.Winds.OfOrbit(8).Count);
        Assert.Equal([7, 8], temp.Stores.Winds.OrbitsWithWinds(0, 100));
        Assert.Equal(16, temp.Stores.Winds.Size().Count);
    }

    [Fact]
    public async Task An_orbit_view_line_and_exposure_are_found_and_a_wrong_orbit_is_refused()
    {
        using var temp = new TempStores();
        var winds = Winds(6, 4);
        await temp.Write(t => WindStore.ReplaceOrbit(t, 7, winds));
        Assert.Equal(4, temp.Stores.Winds.OfOrbit(7, "F", "red").Count);
        Assert.Equal(["A", "A", "F", "F"], temp.Stores.Winds.Exposure(winds[5].Profile.Exposure, Start).Select(w => w.Profile.View));
        Assert.Equal((16, Start, Start.AddSeconds(180)), temp.Stores.Winds.Size());
        await Assert.ThrowsAsync<ArgumentException>(() => temp.Write(t => WindStore.ReplaceOrbit(t, 9, winds)));
        Assert.Equal(16, temp.Stores.Winds.Size().Count);
    }

    private static string Text<T>(T value) => JsonSerializer.Serialize(value, Json);

    [Fact]
    public async Task Figures_are_made_with_the_winds_and_filled_where_an_earlier_version_made_none()
    {
        using var temp = new TempStores();
        var winds = Winds(7, 4);
        await temp.Write(t => WindStore.ReplaceOrbit(t, 7, winds));
        var made = temp.Stores.WindFigures.Read(0, 100);
        Assert.Equal(["green", "red"], made.Select(f => f.Winds.Line));
        foreach (var (_, figure) in made)
        {
            var rows = winds.Where(w => w.Profile.Line == figure.Line).SelectMany(w => w.Profile.Rows).ToArray();
            var sigmas = rows.Where(r => r.Quality == WindQuality.Good && double.IsFinite(r.SigmaMs)).Select(r => r.SigmaMs).Order().ToArray();
            Assert.Equal((rows.Length, rows.Count(r => r.Quality == WindQuality.Good)), ((int)figure.Values, (int)figure.Good));
            Assert.Equal((sigmas[(sigmas.Length - 1) / 2] + sigmas[sigmas.Length / 2]) / 2, figure.SigmaMs, 1e-9);
        }
        await temp.Write(t => Dapper.SqlMapper.Execute(t.Connection!, "DELETE FROM windFigure", transaction: t));
        Assert.Equal([7], temp.Stores.WindFigures.Missing());
        await temp.Write(t => WindFigureStore.Fill(t, 7, temp.Stores.Winds.OfOrbit(7)));
        Assert.Equal(made, temp.Stores.WindFigures.Read(0, 100));
        Assert.Empty(temp.Stores.WindFigures.Missing());
    }

    private static List<StoredLosWind> Winds(int seed, int exposures)
    {
        var random = new Random(seed);
        double Some() => random.Next(9) switch { 0 => double.NaN, 1 => -0.0, _ => 200 * (random.NextDouble() - 0.5) };
        return [.. from e in Enumerable.Range(0, exposures) from view in new[] { "A", "F" } from line in new[] { "green", "red" } select new StoredLosWind
        {
            Orbit = 7, CoefficientSet = 1, EphemerisFile = e % 3 == 0 ? null : 4, AttitudeFile = e % 2 == 0 ? null : 5, InputHash = [(byte)e, (byte)view[0], (byte)line[0]], SoftwareVersion = "0.1.0",
            Profile = new LosWindProfile
            {
                Time = Start.AddSeconds(60 * e), Exposure = 100 + e, View = view, Line = line,
                Rows = [.. Enumerable.Range(0, Detector).Select(r => new LosWind
                {
                    Row = r, LatitudeRad = Some(), LongitudeRad = Some(), AltitudeKm = Some(), AzimuthRad = Some(), ApparentMs = Some(), ApparentSigmaMs = Some(), WindMs = Some(), SigmaMs = Some(),
                    SigmaThroughKernelMs = Some(), VerticalResolutionKm = Some(), KernelDiagonal = Some(), OwnLayerShare = Some(), Budget = new(Some(), Some(), Some(), Some(), Some(), new(Some(), Some(), Some()), Some()),
                    Emission = Some(), EmissionSigma = Some(), Quality = (WindQuality)(r % 3),
                    Reasons = r % 3 == 0 ? WindReasonCatalog.Reasons(1ul << 21, 0, 0) : WindReasonCatalog.Reasons(0, 0b1000000100ul << r, r % 3 == 2 ? 0b1010ul : 0),
                })],
                MatrixRows = e == 2 ? [] : [4, 2, 0], KernelAltitudeKm = e == 2 ? [] : [90, 101.1, 110, 150],
                AveragingKernel = e == 2 ? [] : [.. Enumerable.Range(0, 12).Select(_ => random.NextDouble() - 0.3)], CovarianceM2S2 = e == 2 ? [] : Symmetric(random),
                CorrelationKm = 16, TopScaleHeightKm = e == 2 ? double.NaN : 44.1, MisfitChiSquare = e == 2 ? double.NaN : 1.2,
            },
        }];
    }

    private static double[] Symmetric(Random random)
    {
        double[] v = [.. Enumerable.Range(0, 6).Select(_ => 50 * (random.NextDouble() - 0.5))];
        return [v[0], v[1], v[2], v[1], v[3], v[4], v[2], v[4], v[5]];
    }
}
