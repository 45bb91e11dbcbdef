using System.Security.Cryptography;
using System.Text.Json.Nodes;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Http;
using Microsoft.Extensions.DependencyInjection;
using Phasekeeper.Core.Time;
using Phasekeeper.Demo.Scenario;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Pipeline.SignOff;
using Phasekeeper.Storage;
using Phasekeeper.Tests;
using Phasekeeper.Web.Features.Annotations;
using Phasekeeper.Web.Features.Reports;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Reports;

/// <summary>A short mission on a real port, so that the program's own browser can read it; it signs in by its print token.</summary>
public sealed class ListeningMission : WebHost, IAsyncLifetime
{
    private readonly string profile = Directory.CreateTempSubdirectory("phasekeeper-profile-").FullName;

    /// <summary>Listens on a free port of loopback.</summary>
    public ListeningMission() => UseKestrel(0);

    // At noon, so that the orbit, and the housekeeping before it, begin on the same day: the demo's own start is at midnight, within an orbit of the day before.
    private static readonly DemoScenario Scenario = DemoScenario.Default.StartingAt(DemoScenario.Default.Start.AddSeconds(43_200));

    /// <summary>Start of the exposures.</summary>
    public static Instant Start => Scenario.Start;

    /// <summary>Answers a plot's call in the program's place; null, or false from it: the program answers.</summary>
    public Func<HttpContext, RequestDelegate, Task<bool>>? InPlace { get; set; }

    /// <inheritdoc/>
    protected override string Profile => profile;

    /// <inheritdoc/>
    protected override void ConfigureWebHost(IWebHostBuilder builder)
    {
        base.ConfigureWebHost(builder);
        builder.ConfigureServices(services => services.AddSingleton<IStartupFilter>(new PlotFilter(this)));
    }

    /// <inheritdoc/>
    public async Task InitializeAsync()
    {
        var mission = new ScenarioGenerator(Scenario, events: []);
        mission.WriteProfile(profile, Start.AddSeconds(86400));
        await Post(mission.PacketsFor(mission.FirstPacket, Start.AddSeconds(900), Environment.ProcessorCount));
        await WaitUntilIdle();
    }

    /// <inheritdoc/>
    async Task IAsyncLifetime.DisposeAsync()
    {
        await DisposeAsync();
        TestFolder.Delete(profile);
    }

    private sealed class PlotFilter(ListeningMission host) : IStartupFilter
    {
        public Action<IApplicationBuilder> Configure(Action<IApplicationBuilder> next) => app =>
        {
            app.Use((context, pass) => AnswerAsync(context, pass));
            next(app);
        };

        private async Task AnswerAsync(HttpContext context, RequestDelegate pass)
        {
            if (host.InPlace is { } answer && context.Request.Path.StartsWithSegments("/api/v1/plots") && await answer(context, pass)) return;
            await pass(context);
        }
    }
}

/// <summary>A report made by Chromium and read back.</summary>
public sealed class ReportPdfTests(ListeningMission host) : IClassFixture<ListeningMission>
{
    // Thermal residuals come with whole orbits: the journey reads their axis back. Words that stand inside a plot's drawing alone, on no heading, table or summary: they are in the PDF when, and only when, that plot is drawn.
    private static readonly (string Plot, string[] Words)[] Drawn =
    [
        ("What arrived", ["Fringe rows (%)", "APID", "Packets, of usual (%)"]),
        ("Interferometer temperature and thermal residual", ["Interferometer (°C)"]),
        ("Lamp offset", ["Lamp offset (rad)"]),
        ("Scene phase residual", ["Scene phase residual (m/s)"]),
    ];

    private static readonly Actor Kim = new("kim", Roles.Operator, null);

    private static ReportSpan Day => ReportSpan.At(ReportSpan.Day, ListeningMission.Start);

    private static string Packed(string text) => text.Replace(" ", "", StringComparison.Ordinal);

    private static string WordsOf(PdfReading read) => string.Concat(read.Words.Where(c => !char.IsWhiteSpace(c)));

    private static string[] NotDrawn(PdfReading read) => WordsOf(read) is var words ? [.. Drawn.Where(d => !d.Words.All(w => words.Contains(Packed(w), StringComparison.Ordinal))).Select(d => d.Plot)] : [];

    private async Task<ReportRow> MakeAsync() => await host.Services.GetRequiredService<ReportMaker>().MakeAsync(Day, Kim);

    private PdfReading Read(ReportRow row) => new(host.Stores.Reports.Get(row.Id)!.Value.Pdf);

    [ChromiumFact]
    public async Task The_pdf_of_a_day_has_its_plots_its_tables_and_its_page_numbers_and_is_archived_with_its_hash()
    {
        var at = ListeningMission.Start;
        await host.Services.GetRequiredService<AnnotationDesk>().AddAsync(new(at.AddSeconds(60), at.AddSeconds(120), "Lamp warmed up twice"), Kim);
        var row = await MakeAsync();
        Assert.Null(row.Failure);
        var (report, pdf) = host.Stores.Reports.Get(row.Id)!.Value;
        Assert.Equal(SHA256.HashData(pdf), report.Hash);
        Assert.Equal(report.Hash, row.Hash);
        if (Environment.GetEnvironmentVariable("PHASEKEEPER_KEEP_PDF") is { Length: > 0 } keep) await File.WriteAllBytesAsync(keep, pdf);
        var read = new PdfReading(pdf);
        var words = WordsOf(read);
        foreach (var expected in new[] { Day.Title, "Verdict", "Completeness", "Trackers", "Coefficients in force", "from the beginning", "Lamp warmed up twice", "rules come first" })
            Assert.Contains(Packed(expected), words, StringComparison.Ordinal);
        // What is true of the minute in which it was printed is no part of a day.
        foreach (var live in new[] { "lag 0 s", "1 orbits begin", "1677" }) Assert.DoesNotContain(Packed(live), words, StringComparison.Ordinal);
        Assert.InRange(read.Pages, 2, 20);
        Assert.Contains($"page1of{read.Pages}", words, StringComparison.Ordinal);
        Assert.Empty(NotDrawn(read));
        // The note that every plot of its time has, once a plot that reaches it.
        Assert.Contains("note1", words, StringComparison.Ordinal);
        // Axes, ticks and curves of the plots are strokes; borders of tables are filled boxes.
        Assert.True(read.Strokes > 50, $"{read.Strokes} strokes");
        Assert.True(read.Pictures >= 1, "The matrix of what arrived is a picture.");
        Assert.All(Enumerable.Range(1, read.Pages), page => Assert.True(read.WordsOf(page).Count(char.IsLetterOrDigit) > 150, $"Page {page} of {read.Pages} is empty but for its head and foot."));
        Assert.Equal(ReportGround.Of(host.Stores, Day).Hash, report.Ground);
        // What comes afterwards makes it a report of before.
        await host.Services.GetRequiredService<AnnotationDesk>().AddAsync(new(at, at, "later"), Kim);
        Assert.NotEqual(ReportGround.Of(host.Stores, Day).Hash, report.Ground);
    }

    // The control of the test above: where plots do not come, reading the PDF back tells which.
    [ChromiumFact]
    public async Task Reading_back_tells_the_plots_that_came_without_values()
    {
        host.InPlace = async (context, pass) =>
        {
            if (!Asks(context, "drift", "lamp-offset") && !Asks(context, "today", "")) return false;
            // Not packed, so that it can be read here.
            context.Request.Headers.Remove("Accept-Encoding");
            var answer = context.Response.Body;
            using var kept = new MemoryStream();
            context.Response.Body = kept;
            await pass(context);
            context.Response.Body = answer;
            var document = JsonNode.Parse(kept.ToArray())!.AsObject();
            document["traces"] = new JsonArray();
            context.Response.ContentLength = null;
            await context.Response.WriteAsync(document.ToJsonString());
            return true;
        };
        try
        {
            var row = await MakeAsync();
            Assert.Null(row.Failure);
            Assert.Equal(["Interferometer temperature and thermal residual", "Lamp offset"], NotDrawn(Read(row)));
        }
        finally
        {
            host.InPlace = null;
        }
    }

    [ChromiumFact]
    public async Task A_plot_whose_data_fail_makes_no_report_and_the_archive_says_which()
    {
        host.InPlace = async (context, _) =>
        {
            if (!Asks(context, "drift", "lamp-offset")) return false;
            context.Response.StatusCode = StatusCodes.Status500InternalServerError;
            await context.Response.WriteAsync("no");
            return true;
        };
        try
        {
            var row = await MakeAsync();
            Assert.Contains("Lamp offset", row.Failure, StringComparison.Ordinal);
            Assert.Null(host.Stores.Reports.Get(row.Id));
            Assert.Equal(row.Failure, host.Stores.Reports.Newest(1)[0].Failure);
        }
        finally
        {
            host.InPlace = null;
        }
    }

    [ChromiumFact]
    public async Task The_verdict_the_holds_and_the_notes_from_shift_to_shift_are_in_the_days_pdf_and_in_the_weeks_line()
    {
        var mission = host.Services.GetRequiredService<PipelineEngine>().Mission!;
        var sheet = new DayReader(host.Stores).Read(mission, Day.First)!;
        var orbit = sheet.Orbits[0].Orbit;
        var before = await MakeAsync();
        Assert.Contains(Packed("Not signed off"), WordsOf(Read(before)), StringComparison.Ordinal);
        var desk = host.Services.GetRequiredService<SignOffDesk>();
        await desk.HoldAsync(orbit, true, "Stray light at the start.", Kim);
        await desk.HandOverAsync(Day.First, "Keep an eye on view F.", Kim);
        await desk.HandOverAsync(Day.First.AddDays(30), "Of another month.", Kim);
        // The mission's quarter of an hour is no whole day, which the desk would refuse: the row goes in as it would write it.
        await host.Stores.Database.WriteAsync(t => SignOffStore.Add(t, new()
        {
            Day = Day.FirstDay,
            Revision = 1,
            Verdict = "remarks",
            Proposed = "held",
            Proposal = "{}",
            GroundKey = sheet.Key,
            Remark = "Looked at with the lamp's people.",
            Actor = "ada",
            Role = Roles.Operator,
            Time = Instant.FromUtc(2031, 6, 1, 7, 12),
        }, sheet.Ground));
        Assert.NotEqual(before.Ground, ReportGround.Of(host.Stores, Day).Hash);
        var words = WordsOf(Read(await MakeAsync()));
        foreach (var expected in new[] { "Signed off as usable with remarks by ada at 2031-06-01 07:12 UTC, overruling the proposal “held”", "Looked at with the lamp's people.", "Proposed by the program", $"winds of orbit {orbit}", $"Orbit {orbit}, held by kim", "Stray light at the start.", "Keep an eye on view F." })
            Assert.Contains(Packed(expected), words, StringComparison.Ordinal);
        Assert.DoesNotContain(Packed("Of another month."), words, StringComparison.Ordinal);
        using var client = host.CreateClient();
        var week = System.Net.WebUtility.HtmlDecode(await client.GetStringAsync(new Uri(ReportSpan.At(ReportSpan.Week, ListeningMission.Start).Address, UriKind.Relative)));
        var lines = week[week.IndexOf("r-verdict", StringComparison.Ordinal)..week.IndexOf("</tbody>", StringComparison.Ordinal)].Split("<tr>")[2..];
        Assert.Equal(7, lines.Length);
        Assert.Equal(6, lines.Count(l => l.Contains("no data", StringComparison.Ordinal)));
        var own = Assert.Single(lines, l => l.Contains(Day.FirstText, StringComparison.Ordinal));
        foreach (var expected in new[] { "usable with remarks, ada, 2031-06-01 07:12, overruling the proposal", "Looked at with the lamp's people." }) Assert.Contains(expected, own, StringComparison.Ordinal);
        Assert.Contains("Keep an eye on view F.", week, StringComparison.Ordinal);
    }

    private static bool Asks(HttpContext context, string plot, string query) =>
        context.Request.Path.Value == "/api/v1/plots/" + plot && context.Request.QueryString.Value!.Contains(query, StringComparison.Ordinal);
}
