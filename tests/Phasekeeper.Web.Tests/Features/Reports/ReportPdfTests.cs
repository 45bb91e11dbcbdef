using System.Security.Cryptography;
using Microsoft.Extensions.DependencyInjection;
using Phasekeeper.Core.Time;
using Phasekeeper.Demo.Scenario;
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

    /// <summary>Start of the exposures.</summary>
    public static Instant Start => DemoScenario.Default.Start;

    /// <inheritdoc/>
    protected override string Profile => profile;

    /// <inheritdoc/>
    public async Task InitializeAsync()
    {
        var mission = new ScenarioGenerator(DemoScenario.Default, events: []);
        mission.WriteProfile(profile, Start.AddSeconds(86400));
        await Post(mission.PacketsFor(mission.FirstPacket, Start.AddSeconds(900), Environment.ProcessorCount));
        await WaitUntilIdle();
    }

    /// <inheritdoc/>
    async Task IAsyncLifetime.DisposeAsync()
    {
        await DisposeAsync();
        Directory.Delete(profile, recursive: true);
    }
}

/// <summary>A report made by Chromium and read back.</summary>
public sealed class ReportPdfTests(ListeningMission host) : IClassFixture<ListeningMission>
{
    [ChromiumFact]
    public async Task The_pdf_of_a_day_has_its_plots_its_tables_and_its_page_numbers_and_is_archived_with_its_hash()
    {
        var at = ListeningMission.Start;
        var span = ReportSpan.At(ReportSpan.Day, at);
        var kim = new Actor("kim", Roles.Operator, null);
        await host.Services.GetRequiredService<AnnotationDesk>().AddAsync(new(at.AddSeconds(60), at.AddSeconds(120), "Lamp warmed up twice"), kim);
        var row = await host.Services.GetRequiredService<ReportMaker>().MakeAsync(span, kim);
        Assert.Null(row.Failure);
        var (report, pdf) = host.Stores.Reports.Get(row.Id)!.Value;
        Assert.Equal(SHA256.HashData(pdf), report.Hash);
        if (Environment.GetEnvironmentVariable("PHASEKEEPER_KEEP_PDF") is { Length: > 0 } keep) await File.WriteAllBytesAsync(keep, pdf);
        var read = new PdfReading(pdf);
        var words = string.Join(' ', read.Words.Split(default(char[]), StringSplitOptions.RemoveEmptyEntries));
        foreach (var expected in new[] { span.Title, "Completeness", "What arrived", "Interferometer temperature and thermal residual", "Trackers", "Coefficients in force", "Lamp warmed up twice", "rules come first" })
            Assert.Contains(expected.Replace(" ", "", StringComparison.Ordinal), words.Replace(" ", "", StringComparison.Ordinal), StringComparison.Ordinal);
        Assert.InRange(read.Pages, 2, 20);
        Assert.Contains($"page1of{read.Pages}", words.Replace(" ", "", StringComparison.Ordinal), StringComparison.Ordinal);
        // Words inside the drawn plots: the note that every plot of its time has.
        Assert.Contains("note1", words.Replace(" ", "", StringComparison.Ordinal), StringComparison.Ordinal);
        // Axes, ticks and curves of the plots are strokes; borders of tables are filled boxes.
        Assert.True(read.Strokes > 50, $"{read.Strokes} strokes");
        Assert.True(read.Pictures >= 1, "The matrix of what arrived is a picture.");
        Assert.Equal(ReportGround.Of(host.Stores, span).Hash, report.Ground);
        // What comes afterwards makes it a report of before.
        await host.Services.GetRequiredService<AnnotationDesk>().AddAsync(new(at, at, "later"), kim);
        Assert.NotEqual(ReportGround.Of(host.Stores, span).Hash, report.Ground);
    }
}
