using System.Net;
using System.Reflection;
using System.Text.RegularExpressions;
using Microsoft.AspNetCore.Components;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api.Access;
using Phasekeeper.Web.Features.Help;
using Phasekeeper.Web.Hosting;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Help;

public sealed partial class PageWordsTests(WebHost host) : IClassFixture<WebHost>
{
    private static readonly Type[] Pages = [.. typeof(PhasekeeperOptions).Assembly.GetTypes().Where(t => t.GetCustomAttributes<RouteAttribute>().Any())];

    public static TheoryData<string> Routes => [.. Pages.SelectMany(p => p.GetCustomAttributes<RouteAttribute>()).Select(r => r.Template).Order(StringComparer.Ordinal)];

    [Theory]
    [MemberData(nameof(Routes))]
    public async Task Every_route_leads_to_the_words_of_its_page_or_says_why_there_are_none(string route)
    {
        var entry = Assert.Single(PageWords.All, e => e.Routes.Contains(route));
        Assert.Equal(entry.Words.Count == 0, entry.WhyNone is not null);
        using var client = host.CreateClient();
        client.DefaultRequestHeaders.Add("Cookie", $"{DemoAccess.RoleCookie}={Roles.Administrator}");
        using var answer = await client.GetAsync(new Uri(AddressOf(route), UriKind.Relative));
        var html = WebUtility.HtmlDecode(await answer.Content.ReadAsStringAsync());
        var fold = Fold().Match(html);
        Assert.Equal(entry.Words.Count > 0, fold.Success);
        Assert.Equal(entry.Words.Select(w => w.Href), Links().Matches(fold.Value).Select(m => m.Groups[1].Value));
        Assert.All(entry.Words, word => Assert.Contains($"<dd>{word.Meaning}</dd>", Meanings().Replace(fold.Value, "<dd>"), StringComparison.Ordinal));
    }

    [Fact]
    public void Every_page_has_one_entry_and_no_entry_is_left_over()
    {
        Assert.Equal(Pages.Select(p => p.FullName).Order(), PageWords.All.Select(e => e.Page.FullName).Order());
        Assert.All(PageWords.All, e => Assert.Equal(e.Words.Count, e.Words.Distinct().Count()));
        Assert.Null(PageWords.Of(typeof(PageWordsTests)));
    }

    [Fact]
    public void Every_word_belongs_to_a_page() =>
        Assert.Empty(HelpWord.All.Except(PageWords.All.SelectMany(e => e.Words)).Select(w => w.Word));

    // What stands for a parameter need not exist: the line above a page is there with or without its subject.
    private static string AddressOf(string route) => Parameters().Replace(route, m => m.Groups[1].Value switch
    {
        "Number" => "1",
        "Date" => "2031-05-09",
        "First" => "2031-05-05",
        "Id" => "data-gap",
        var other => throw new NotSupportedException($"The route {route} has a parameter {other} for which no value is known here: give one."),
    });

    [GeneratedRegex(@"\{(\w+)[^}]*\}")]
    private static partial Regex Parameters();

    [GeneratedRegex("""<details class="words-here".*?</details>""", RegexOptions.Singleline)]
    private static partial Regex Fold();

    [GeneratedRegex("href=\"([^\"]+)\"")]
    private static partial Regex Links();

    [GeneratedRegex(@"<dd[^>]*>")]
    private static partial Regex Meanings();
}
