using System.Net;
using System.Reflection;
using System.Text.RegularExpressions;
using Microsoft.AspNetCore.Components;
using Phasekeeper.Web.Features.Channels;
using Phasekeeper.Web.Features.Record;
using Phasekeeper.Web.Shared.Addresses;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Shared.Addresses;

/// <summary>Every query parameter of every page with values that nobody meant: the page comes, and says what was found and what is shown instead. Pages and parameters are found by reflection.</summary>
[Collection(MissionHostGroup.Name)]
public sealed partial class JunkAddressTests(MissionHost host)
{
    private static readonly string[] Junk =
    [
        "junk", "2147483648", "-9223372036854775809", "1e300", "-1e300", "NaN", "Infinity", "0x10", "9999-12-31", "0001-01-01T00:00:00Z", "2262-04-11T23:47:16Z", "'; DROP TABLE orbit; --",
        "<b>x</b>", "\0\uFFFD\u202E", "%zz", "~~~", "99.5.7", new('9', 3000),
    ];

    // Words that are searched for are what they are; whatever they say is shown as it is.
    private static readonly (Type Page, string Name)[] FreeText = [(typeof(ChannelsPage), "q"), (typeof(RecordPage), "q"), (typeof(RecordPage), "subject")];

    // What else the address must say for a page to look at a parameter.
    private static readonly Dictionary<(string Route, string Name), string> Context = new() { [("/data", "next")] = "tab=quarantine&" };

    /// <summary>Pages and their parameters.</summary>
    public static TheoryData<string, string, bool> Parameters
    {
        get
        {
            var data = new TheoryData<string, string, bool>();
            foreach (var page in typeof(AddressReader).Assembly.GetTypes())
                foreach (var route in page.GetCustomAttributes<RouteAttribute>().Select(r => r.Template).Where(t => !t.Contains('{', StringComparison.Ordinal)))
                    foreach (var property in page.GetProperties())
                        if (property.GetCustomAttribute<SupplyParameterFromQueryAttribute>() is { } parameter)
                        {
                            // The framework takes names in any case; addresses of ours begin with a small letter.
                            var name = parameter.Name ?? char.ToLowerInvariant(property.Name[0]) + property.Name[1..];
                            data.Add(route, name, FreeText.Contains((page, name)));
                        }
            return data;
        }
    }

    [Theory]
    [MemberData(nameof(Parameters))]
    public async Task Junk_gives_the_page_and_says_what_was_found(string route, string name, bool isFreeText)
    {
        using var client = host.CreateClient();
        foreach (var junk in Junk)
        {
            var page = await Get(client, $"{route}?{Context.GetValueOrDefault((route, name))}{name}={Uri.EscapeDataString(junk)}");
            Assert.DoesNotContain("state-panel-failed", page, StringComparison.Ordinal);
            Assert.DoesNotContain("This page could not be shown", page, StringComparison.Ordinal);
            var notes = Note().Matches(page).Select(m => WebUtility.HtmlDecode(m.Groups[1].Value)).ToArray();
            if (isFreeText) Assert.Empty(notes);
            else Assert.Contains(notes, n => n.StartsWith($"The address says {name}={junk[..Math.Min(3, junk.Length)]}", StringComparison.OrdinalIgnoreCase) && n.Length < 600 && n.EndsWith('.'));
        }
    }

    [Theory]
    [MemberData(nameof(Parameters))]
    public async Task An_empty_value_is_as_good_as_none(string route, string name, bool isFreeText)
    {
        Assert.True(isFreeText || name.Length > 0);
        using var client = host.CreateClient();
        var page = await Get(client, $"{route}?{name}=");
        Assert.DoesNotContain("address-notes", page, StringComparison.Ordinal);
        Assert.DoesNotContain("state-panel-failed", page, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("/orbit/2147483647")]
    [InlineData("/orbit/-2147483648")]
    public async Task A_number_that_no_orbit_has_gives_the_page(string address)
    {
        using var client = host.CreateClient();
        Assert.Contains("Nothing has arrived of", await Get(client, address), StringComparison.Ordinal);
    }

    [Fact]
    public void Pages_take_their_parameters_as_text()
    {
        // Anything else is parsed by the framework, which ends the page where it cannot.
        var parameters = typeof(AddressReader).Assembly.GetTypes().SelectMany(t => t.GetProperties()).Where(p => p.IsDefined(typeof(SupplyParameterFromQueryAttribute))).ToArray();
        Assert.True(parameters.Length > 40);
        Assert.All(parameters, p => Assert.True(p.PropertyType == typeof(string) || p.PropertyType == typeof(string[]), $"{p.DeclaringType!.Name}.{p.Name} is {p.PropertyType}; read it from a string with AddressReader."));
    }

    private static async Task<string> Get(HttpClient client, string address)
    {
        using var answer = await client.GetAsync(new Uri(address, UriKind.Relative));
        Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
        return await answer.Content.ReadAsStringAsync();
    }

    [GeneratedRegex("<li[^>]*>(The address says .*?)</li>", RegexOptions.Singleline)]
    private static partial Regex Note();
}
