using System.Net;
using System.Net.Http.Json;
using System.Text.Json;
using System.Text.RegularExpressions;
using Phasekeeper.Core.Notices;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api.Access;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Notices;

/// <summary>What people do on the pages of notices, with its entries in the record; secrets are shown once and nowhere else.</summary>
public sealed partial class NoticePagesTests(NoLoopsHost host) : IClassFixture<NoLoopsHost>
{
    private const string Mine = "/account/notices";

    private static readonly (string, string)[] Mail = [("Wish.Channel", "email"), ("Wish.Target", "kim@mission.example"), ("Wish.Severity", "warning"), ("Wish.Kinds", "raised"), ("Wish.Kinds", "escalation"), ("Wish.Offset", "5.5"), ("Wish.QuietFrom", "22:00"), ("Wish.QuietTo", "06:30"), ("Wish.Digest", "24"), ("Wish.DigestAt", "8"), ("Wish.CriticalAtOnce", "on")];

    private HttpClient Browser(string role)
    {
        var browser = host.CreateClient(new() { AllowAutoRedirect = false });
        browser.DefaultRequestHeaders.Add("Cookie", $"{DemoAccess.RoleCookie}={role}");
        return browser;
    }

    private static async Task<string> SendAsync(HttpClient browser, string page, string form, params (string, string)[] fields)
    {
        using var answer = await SignInHost.Send(browser, page, form, fields);
        var text = WebUtility.HtmlDecode(await answer.Content.ReadAsStringAsync());
        Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
        return text;
    }

    private static (string, string)[] With(string name, string value) => [.. Mail.Where(f => f.Item1 != name), (name, value)];

    [Fact]
    public async Task A_person_subscribes_sends_a_trial_and_ends_it()
    {
        using var browser = Browser(Roles.Viewer);
        Assert.Contains("You are subscribed", await SendAsync(browser, Mine, "subscribe", Mail), StringComparison.Ordinal);
        var row = Assert.Single(host.Stores.Notices.SubscriptionsOf("demo viewer"));
        Assert.Equal((330, new QuietHours(1320, 390), new DigestPlan(24, 8), NoticeKinds.Raised | NoticeKinds.Escalation), (row.Subscription.OffsetMinutes, row.Subscription.Quiet, row.Subscription.Digest, row.Subscription.Kinds));
        Assert.Contains("The trial message is in the queue", await SendAsync(browser, Mine, "step", ("Asked.Id", row.Subscription.Id), ("Asked.Step", "trial")), StringComparison.Ordinal);
        Assert.Contains("less than 30 s old", await SendAsync(browser, Mine, "step", ("Asked.Id", row.Subscription.Id), ("Asked.Step", "trial")), StringComparison.Ordinal);
        var trial = Assert.Single(host.Stores.NoticeQueue.OfPerson("demo viewer", 10));
        Assert.Contains(NoticeText.Advice, trial.Text, StringComparison.Ordinal);
        using (var operating = Browser(Roles.Operator))
            Assert.Contains("asks for the role 'administrator'", await SendAsync(operating, Mine, "step", ("Asked.Id", row.Subscription.Id), ("Asked.Step", "end")), StringComparison.Ordinal);
        Assert.Contains("has ended", await SendAsync(browser, Mine, "step", ("Asked.Id", row.Subscription.Id), ("Asked.Step", "end")), StringComparison.Ordinal);
        Assert.Empty(host.Stores.Notices.SubscriptionsOf("demo viewer"));
        Assert.Equal(NoticeStates.Dropped, host.Stores.NoticeQueue.Get(trial.Id)!.State);
        Assert.Equal([NoticeRecordKinds.Unsubscribe, NoticeRecordKinds.Trial, NoticeRecordKinds.Subscribe], host.Stores.Record.List(new("demo viewer"), 10).Items.Select(e => e.What));
    }

    [Fact]
    public async Task The_key_of_a_webhook_is_shown_once_and_its_address_to_nobody_else()
    {
        using var browser = Browser(Roles.Operator);
        var answer = await SendAsync(browser, Mine, "subscribe", [.. Mail.Where(f => f.Item1 is not ("Wish.Channel" or "Wish.Target")), ("Wish.Channel", "webhook"), ("Wish.Target", "https://hooks.mission.example/secret-path")]);
        var key = Key().Match(answer).Value;
        Assert.NotEmpty(key);
        Assert.DoesNotContain(key, await browser.GetStringAsync(new Uri(Mine, UriKind.Relative)), StringComparison.Ordinal);
        using var administrator = Browser(Roles.Administrator);
        var page = await administrator.GetStringAsync(new Uri("/notices", UriKind.Relative));
        Assert.Contains("hooks.mission.example", page, StringComparison.Ordinal);
        Assert.DoesNotContain("secret-path", page, StringComparison.Ordinal);
        Assert.DoesNotContain(key, page, StringComparison.Ordinal);
        var record = string.Join('\n', host.Stores.Record.List(new("demo operator"), 10).Items.Select(e => e.After));
        Assert.DoesNotContain("secret-path", record, StringComparison.Ordinal);
        Assert.DoesNotContain(key, record, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("Wish.Target", "kim@mission.example\r\nBcc: x@y.example", "expected one plain e-mail address")]
    [InlineData("Wish.Target", "kim", "expected one plain e-mail address")]
    [InlineData("Wish.Channel", "fax", "expected email or webhook")]
    [InlineData("Wish.Severity", "dire", "expected notice, warning or critical")]
    [InlineData("Wish.Kinds", "weather", "expected raised")]
    [InlineData("Wish.Offset", "5.1", "in quarters")]
    [InlineData("Wish.Offset", "99", "-12 to 14")]
    [InlineData("Wish.QuietTo", "", "both times as 22:00")]
    [InlineData("Wish.QuietTo", "22:00", "begin and end at the same time")]
    [InlineData("Wish.Digest", "5", "expected 1, 2, 3")]
    [InlineData("Wish.DigestAt", "24", "expected 0 to 23")]
    public async Task A_wish_that_cannot_be_granted_says_why(string field, string value, string why)
    {
        using var browser = Browser(Roles.Analyst);
        Assert.Contains(why, await SendAsync(browser, Mine, "subscribe", With(field, value)), StringComparison.Ordinal);
        Assert.Empty(host.Stores.Notices.SubscriptionsOf("demo analyst"));
    }

    [Fact]
    public async Task An_administrator_sees_what_failed_tries_it_again_drops_it_and_keeps_the_escalation_list()
    {
        using var browser = Browser(Roles.Administrator);
        Assert.Contains("Phasekeeper:Notices:Smtp:Host", await browser.GetStringAsync(new Uri("/notices", UriKind.Relative)), StringComparison.Ordinal);
        await SendAsync(browser, Mine, "subscribe", Mail);
        var subscription = host.Stores.Notices.SubscriptionsOf("demo administrator").Single().Subscription.Id;
        await SendAsync(browser, Mine, "step", ("Asked.Id", subscription), ("Asked.Step", "trial"));
        var id = host.Stores.NoticeQueue.OfPerson("demo administrator", 1).Single().Id;
        var now = TempNow();
        await host.Stores.Database.WriteAsync(t => { NoticeQueue.Begin(t, id, now); NoticeQueue.Failed(t, id, "The mail server answered 550: no such mailbox", null, now); });
        foreach (var page in new[] { "/notices", "/" }) Assert.Contains("given up", await browser.GetStringAsync(new Uri(page, UriKind.Relative)), StringComparison.Ordinal);
        Assert.Contains("no such mailbox", await browser.GetStringAsync(new Uri("/notices", UriKind.Relative)), StringComparison.Ordinal);
        var queue = await browser.GetFromJsonAsync<JsonElement>(ApiClient.Address("notices?state=given-up"));
        Assert.Equal(id, queue.GetProperty("items")[0].GetProperty("id").GetString());
        Assert.Contains("tried again", await SendAsync(browser, "/notices", "step", ("Asked.Id", id), ("Asked.Step", "retry")), StringComparison.Ordinal);
        Assert.Equal(NoticeStates.Waiting, host.Stores.NoticeQueue.Get(id)!.State);
        Assert.Contains("is dropped", await SendAsync(browser, "/notices", "step", ("Asked.Id", id), ("Asked.Step", "drop")), StringComparison.Ordinal);
        Assert.Contains("nothing to do", await SendAsync(browser, "/notices", "step", ("Asked.Id", id), ("Asked.Step", "retry")), StringComparison.Ordinal);
        Assert.Contains("nobody who works with flags is called 'nobody'", await SendAsync(browser, "/notices", "escalation", ("List", "30 nobody")), StringComparison.Ordinal);
        Assert.Contains("list is kept", await SendAsync(browser, "/notices", "escalation", ("List", "60 demo administrator\r\n15 DEMO analyst")), StringComparison.Ordinal);
        Assert.Equal([new(15, "demo analyst"), new(60, "demo administrator")], host.Stores.Notices.Escalation());
        Assert.Contains("demo analyst stands on the list but has no subscription", await browser.GetStringAsync(new Uri("/notices", UriKind.Relative)), StringComparison.Ordinal);
        Assert.Superset(new HashSet<string> { NoticeRecordKinds.Retry, NoticeRecordKinds.Drop, NoticeRecordKinds.Escalation }, host.Stores.Record.List(new("demo administrator"), 20).Items.Select(e => e.What).ToHashSet());
        var settings = await browser.GetFromJsonAsync<JsonElement>(ApiClient.Address("notices/settings"));
        Assert.Equal(15, settings.GetProperty("escalation")[0].GetProperty("afterMinutes").GetInt32());
    }

    private static Core.Time.Instant TempNow() => Core.Time.Instant.FromDateTimeUtc(TimeProvider.System.GetUtcNow().UtcDateTime);

    [GeneratedRegex("pkw_[0-9a-f]{64}")]
    private static partial Regex Key();
}
