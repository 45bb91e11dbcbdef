using System.Text;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Notices;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Tests.Notices;

/// <summary>Words, addresses, signatures and repeats of notices.</summary>
public class NoticeTextTests
{
    private static readonly Instant Start = Instant.FromUtc(2031, 3, 2, 20);

    private static NoticeText Words(string message, string note, string? address, params string[] flags)
    {
        var subscription = new NoticeSubscription { Id = "s", Person = "kim", Channel = NoticeChannel.Email, Target = "kim@mission.example" };
        var items = flags.Select((f, i) => new NoticeItem("s", new($"step.{i}", NoticeKinds.Raised, f, FlagSeverity.Critical, Start, "rules", note), Start)).ToList();
        return NoticeText.Of(new("id", subscription, NoticeForm.Cause, false, items), "Kittiwake", address,
            id => new(id, FlagSeverity.Critical, "raised", message, "Thermal residual, view F, green", 7.5, 5, "m/s", Start.AddSeconds(-3600), 12, 15, null));
    }

    [Fact]
    public void A_message_says_what_was_found_where_with_value_limit_link_and_that_it_advises()
    {
        var words = Words("Thermal residual was 7.5 m/s.", "", "https://pk.mission.example", "a b");
        Assert.Equal("Kittiwake: critical, raised: Thermal residual was 7.5 m/s.", words.Subject);
        foreach (var part in new[] { "Thermal residual, view F, green, orbits 12 to 15, from 2031-03-02 19:00:00 UTC (mission time)", "Value: 7.5 m/s; limit: 5 m/s", "https://pk.mission.example/flags/a%20b", "raised, nobody has it", NoticeText.Advice })
        {
            Assert.Contains(part, words.Text, StringComparison.Ordinal);
            Assert.Contains(part, System.Net.WebUtility.HtmlDecode(words.Html), StringComparison.Ordinal);
        }
        Assert.DoesNotContain("http", Words("m", "", null, "a").Text, StringComparison.Ordinal);
        Assert.EndsWith("(and 1 more of this likely cause)", Words("m", "", null, "a", "b").Subject, StringComparison.Ordinal);
    }

    [Fact]
    public void Nothing_that_people_write_becomes_a_header_or_html()
    {
        var words = Words("x\r\nBcc: all@elsewhere.example\u2028y", "<script>1</script>\r\nTo: z", null, "a");
        Assert.DoesNotContain(words.Subject, c => char.IsControl(c) || c == '\u2028');
        Assert.DoesNotContain("\nBcc", words.Text, StringComparison.Ordinal);
        Assert.DoesNotContain("\nTo:", words.Text, StringComparison.Ordinal);
        Assert.DoesNotContain("<script", words.Html, StringComparison.Ordinal);
        Assert.True(Words(new string('x', 900), "", null, "a").Subject.Length <= NoticeText.LongestSubject);
    }

    [Theory]
    [InlineData("kim@mission.example", true)]
    [InlineData("kim.o'hara+pk@ops.mission.example", true)]
    [InlineData("kim@mission.example\r\nBcc: x@y.example", false)]
    [InlineData("Kim <kim@mission.example>", false)]
    [InlineData("kim@mission.example,lou@mission.example", false)]
    [InlineData("kim@@mission.example", false)]
    [InlineData("kim", false)]
    [InlineData(".kim@mission.example", false)]
    [InlineData("kim@-mission.example", false)]
    [InlineData("kim@mission..example", false)]
    [InlineData("\"kim\"@mission.example", false)]
    [InlineData("", false)]
    public void Addresses_are_plain_ones(string address, bool isGood) => Assert.Equal(isGood, NoticeTargets.AddressMistake(address) is null);

    [Theory]
    [InlineData("https://hooks.mission.example/a?b=c", true)]
    [InlineData("http://10.1.2.3:8080/", true)]
    [InlineData("ftp://hooks.mission.example/", false)]
    [InlineData("file:///etc/passwd", false)]
    [InlineData("https://kim:pw@hooks.mission.example/", false)]
    [InlineData("https://hooks.mission.example/#x", false)]
    [InlineData("https://hooks.mission.example/a\r\nX: y", false)]
    [InlineData("hooks.mission.example", false)]
    public void Webhooks_are_plain_http_addresses(string url, bool isGood) => Assert.Equal(isGood, NoticeTargets.UrlMistake(url) is null);

    // Expected value by another program:
    // printf '1924992000.{"id":"0123","text":"Lamp 12 %% below its limit"}' | openssl dgst -sha256 -hmac 'pkw_example-key'
    [Fact]
    public void A_signature_is_what_openssl_computes()
    {
        const string openssl = "v1=bb5543c468190187aeaa4d2488a83770c326ddfa2e6a27c9a341d5b661d8a9ef";
        Assert.Equal(openssl, WebhookSignature.Of("pkw_example-key", 1924992000, Encoding.UTF8.GetBytes("""{"id":"0123","text":"Lamp 12 % below its limit"}""")));
        // The example that the page gives to those who write receivers is this one.
        Assert.Equal(("pkw_example-key", 1924992000L, """{"id":"0123","text":"Lamp 12 % below its limit"}""", openssl), (WebhookExample.Key, WebhookExample.UnixSeconds, WebhookExample.Body, WebhookExample.Signature));
    }

    [Fact]
    public void Repeats_are_further_and_further_apart_and_end()
    {
        Assert.Equal([30, 60, 120, 3600], new[] { 1, 2, 3, 30 }.Select(n => (RetryPlan.Next(Start, n, Start, 0.5)!.Value - Start)), (a, b) => Math.Abs(a - b) < 1e-6);
        Assert.Equal(24, RetryPlan.Next(Start, 1, Start, 0)!.Value - Start, 6);
        Assert.Equal(36, RetryPlan.Next(Start, 1, Start, 1)!.Value - Start, 6);
        Assert.Null(RetryPlan.Next(Start, 80, Start.AddSeconds(RetryPlan.GiveUpHours * 3600 - 1), 0.5));
        // All tries of a receiver that never answers: finite, and the last near the end.
        var (now, tries) = (Start, 1);
        while (RetryPlan.Next(Start, tries, now, 0.5) is { } next) (now, tries) = (next, tries + 1);
        Assert.InRange(tries, 60, 100);
        Assert.InRange(now - Start, (RetryPlan.GiveUpHours - 1) * 3600, RetryPlan.GiveUpHours * 3600);
    }
}
