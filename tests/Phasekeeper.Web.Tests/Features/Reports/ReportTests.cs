using System.Net;
using System.Net.Http.Json;
using System.Text.Json;
using Dapper;
using Microsoft.AspNetCore.Http;
using Microsoft.Data.Sqlite;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Time.Testing;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Storage;
using Phasekeeper.Tests;
using Phasekeeper.Web.Api.Access;
using Phasekeeper.Web.Features.Reports;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Reports;

public sealed class ReportTests(WebHost host) : IClassFixture<WebHost>
{
    private readonly ApiClient api = new(host.CreateClient());

    [Fact]
    public void A_span_is_a_day_or_the_week_of_a_monday()
    {
        // `date -d 2031-05-05 +%A` says Monday.
        var week = ReportSpan.Read("week", "2031-05-05")!;
        Assert.Equal((7, Instant.FromUtc(2031, 5, 5), Instant.FromUtc(2031, 5, 12), "/reports/week/2031-05-12"), (week.Days, week.From, week.To, week.Neighbour(1)));
        Assert.Equal(week, ReportSpan.At("week", Instant.FromUtc(2031, 5, 11, 23, 59)));
        Assert.Equal("/reports/day/2031-05-08", ReportSpan.Read("day", "2031-05-09")!.Neighbour(-1));
        Assert.Null(ReportSpan.Read("week", "2031-05-06"));
        Assert.Null(ReportSpan.Read("month", "2031-05-05"));
        Assert.Null(ReportSpan.Read("day", "2031-5-9"));
        Assert.Null(ReportSpan.Read("day", "9999-12-31"));
        Assert.Null(ReportSpan.Read("day", "0001-01-01")!.Neighbour(-1));
    }

    [Fact]
    public async Task A_page_without_data_says_so_and_one_that_is_none_says_what_was_expected()
    {
        await host.Services.GetRequiredService<PipelineEngine>().Ready;
        var page = await api.Client.GetStringAsync(new Uri("/reports/day/2031-05-09", UriKind.Relative));
        Assert.Contains("Day report 2031-05-09", page, StringComparison.Ordinal);
        Assert.Contains("No orbit that begins in this day has been processed.", page, StringComparison.Ordinal);
        Assert.Contains("data-report", page, StringComparison.Ordinal);
        Assert.Contains("/api/v1/plots/winds/day?date=2031-05-09", page, StringComparison.Ordinal);
        var week = await api.Client.GetStringAsync(new Uri("/reports/week/2031-05-05", UriKind.Relative));
        Assert.Contains("Week report 2031-05-05 to 2031-05-11", week, StringComparison.Ordinal);
        Assert.Contains("/api/v1/plots/winds/day?date=2031-05-11", week, StringComparison.Ordinal);
        Assert.Contains("the Monday of a week", await api.Client.GetStringAsync(new Uri("/reports/week/2031-05-06", UriKind.Relative)), StringComparison.Ordinal);
    }

    [ChromiumFact]
    public async Task What_cannot_be_made_is_kept_with_the_reason()
    {
        using var answer = await api.Client.PostAsync(ApiClient.Address("reports/day/2031-05-10"), null);
        var made = await answer.Content.ReadFromJsonAsync<JsonElement>();
        // The test's host listens on no port, whatever address it names.
        Assert.Contains("/reports/day/2031-05-10", made.GetProperty("failure").GetString(), StringComparison.Ordinal);
        var id = made.GetProperty("id").GetInt64();
        Assert.Contains(await api.Json("reports"), r => r.GetProperty("id").GetInt64() == id);
        await api.Refused($"reports/{id}.pdf", HttpStatusCode.NotFound);
        Assert.Single(host.Stores.Record.List(new() { What = RecordKinds.ReportMake, Subject = "day 2031-05-10" }, 10).Items);
        Assert.Contains("expected day/2031-05-09", await api.Refused("reports/week/2031-05-10", HttpStatusCode.BadRequest, HttpMethod.Post), StringComparison.Ordinal);
    }

    [Fact]
    public async Task The_archive_gives_back_what_was_put_in_and_is_never_changed()
    {
        var row = new ReportRow { Kind = "day", First = "2031-05-11", Made = Instant.FromUtc(2031, 6, 1), Actor = "kim", Ground = "g", Versions = "v" };
        var id = await host.Stores.Database.WriteAsync(t => ReportStore.Add(t, row, [1, 2, 3]));
        var (report, pdf) = host.Stores.Reports.Get(id)!.Value;
        Assert.Equal([1, 2, 3], pdf);
        // printf '\001\002\003' | sha256sum
        Assert.Equal("039058c6f2c0cb492c533b0a4d14ef77cc0f78abccced5287d84a1a2011cfb81", Convert.ToHexStringLower(report.Hash!));
        Assert.Equal([1, 2, 3], await api.Client.GetByteArrayAsync(ApiClient.Address($"reports/{id}.pdf")));
        await Assert.ThrowsAsync<SqliteException>(() => host.Stores.Database.WriteAsync(t => t.Connection!.Execute("UPDATE report SET actor = 'x'", transaction: t)));
        await Assert.ThrowsAsync<SqliteException>(() => host.Stores.Database.WriteAsync(t => t.Connection!.Execute("DELETE FROM report", transaction: t)));
    }

    [Fact]
    public async Task Reports_of_one_day_are_told_apart_in_the_archive_and_by_the_names_of_their_files()
    {
        await host.Services.GetRequiredService<PipelineEngine>().Ready;
        var span = ReportSpan.Read("day", "2036-05-09")!;
        ReportRow Row(string ground) => new() { Kind = "day", First = span.FirstText, Made = Instant.FromUtc(2036, 6, 1), Actor = "kim", Ground = ground, Versions = "v" };
        var first = await host.Stores.Database.WriteAsync(t => ReportStore.Add(t, Row("of before"), [1]));
        Assert.Contains("made before later data", await RowAsync(first), StringComparison.Ordinal);
        var second = await host.Stores.Database.WriteAsync(t => ReportStore.Add(t, Row(ReportGround.Of(host.Stores, span).Hash), [2]));
        Assert.Contains($"an older report: number {second}, above", await RowAsync(first), StringComparison.Ordinal);
        var newer = await RowAsync(second);
        Assert.Contains("of the data as they are", newer, StringComparison.Ordinal);
        // printf '\002' | sha256sum
        Assert.Contains("title=\"dbc1b4c900ffe48d575b5da5c638040125f65db0fe3e24494b76ea986457d986\"", newer, StringComparison.Ordinal);
        using var file = await api.Client.GetAsync(ApiClient.Address($"reports/{second}.pdf"));
        Assert.Equal($"day-report-2036-05-09-no-{second}.pdf", file.Content.Headers.ContentDisposition!.FileName);

        async Task<string> RowAsync(long id) => Assert.Single((await api.Client.GetStringAsync(new Uri("/reports", UriKind.Relative))).Split("<tr"), r => r.Contains($"/api/v1/reports/{id}.pdf", StringComparison.Ordinal));
    }

    [Fact]
    public async Task The_ground_changes_with_what_a_report_shows_and_only_with_it()
    {
        var span = ReportSpan.Read("day", "2035-05-09")!;
        var before = ReportGround.Of(host.Stores, span);
        Assert.Equal(before, ReportGround.Of(host.Stores, span));
        AnnotationRow Note(Instant at) => new() { From = at, To = at, Text = "x", Actor = "kim", Time = at };
        await host.Stores.Database.WriteAsync(t => AnnotationStore.Add(t, Note(span.To.AddSeconds(10))));
        Assert.Equal(before, ReportGround.Of(host.Stores, span));
        await host.Stores.Database.WriteAsync(t => AnnotationStore.Add(t, Note(span.From.AddSeconds(10))));
        Assert.NotEqual(before.Hash, ReportGround.Of(host.Stores, span).Hash);
    }

    [Fact]
    public void A_print_token_reads_reports_from_loopback_while_its_print_lasts_and_nothing_else()
    {
        var clock = new FakeTimeProvider();
        var tokens = new PrintTokens(clock);
        var token = tokens.New();
        HttpRequest Request(string path, string method = "GET", string from = "127.0.0.1", string? sent = null)
        {
            var http = new DefaultHttpContext();
            (http.Request.Path, http.Request.Method, http.Connection.RemoteIpAddress) = (path, method, IPAddress.Parse(from));
            http.Request.Headers.Authorization = "Bearer " + (sent ?? token);
            return http.Request;
        }

        Assert.True(PrintTokens.IsSent(Request("/")));
        Assert.False(PrintTokens.IsSent(Request("/", sent: "pk_1234")));
        Assert.True(tokens.Authenticate(Request("/reports/day/2031-05-09"))!.IsInRole(Roles.Viewer));
        Assert.NotNull(tokens.Authenticate(Request("/api/v1/plots/today")));
        Assert.Null(tokens.Authenticate(Request("/api/v1/flags")));
        Assert.Null(tokens.Authenticate(Request("/reports")));
        Assert.Null(tokens.Authenticate(Request("/reports/day/2031-05-09", "POST")));
        Assert.Null(tokens.Authenticate(Request("/reports/day/2031-05-09", from: "192.0.2.7")));
        Assert.Null(tokens.Authenticate(Request("/reports/day/2031-05-09", sent: PrintTokens.Prefix + "00")));
        clock.Advance(TimeSpan.FromMinutes(6));
        Assert.Null(tokens.Authenticate(Request("/reports/day/2031-05-09")));
        var second = tokens.New();
        Assert.NotNull(tokens.Authenticate(Request("/reports/day/2031-05-09", sent: second)));
        tokens.TakeBack(second);
        Assert.Null(tokens.Authenticate(Request("/reports/day/2031-05-09", sent: second)));
    }
}
