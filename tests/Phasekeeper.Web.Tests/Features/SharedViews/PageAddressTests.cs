using System.Reflection;
using System.Text.RegularExpressions;
using Microsoft.AspNetCore.Components;
using Phasekeeper.Web.Features;
using Phasekeeper.Web.Features.SharedViews;

namespace Phasekeeper.Web.Tests.Features.SharedViews;

public sealed class PageAddressTests
{
    [Theory]
    [InlineData("/", "/")]
    [InlineData("/drift?range=7d&s=a%7Cb", "/drift?range=7d&s=a%7Cb")]
    [InlineData("/orbit/4321?view=F#phase", "/orbit/4321?view=F")]
    [InlineData("/flags/x.y", "/flags/x.y")]
    [InlineData("/winds/../drift", "/drift")]
    public void Pages_of_this_program_are_kept_by_path_and_query(string given, string kept) => Assert.Equal(kept, PageAddress.Check(given));

    [Theory]
    [InlineData("")]
    [InlineData("drift")]
    [InlineData("//evil.example/drift")]
    [InlineData("/\\evil.example")]
    [InlineData("http://evil.example/drift")]
    [InlineData("javascript:alert(1)")]
    [InlineData("/\tdrift")]
    [InlineData("/api/v1/flags")]
    [InlineData("/nowhere")]
    [InlineData("/sign-in?returnUrl=/")]
    [InlineData("/account")]
    [InlineData("/sign-out")]
    public void Everything_else_is_refused(string given) =>
        Assert.Contains("expected path and query of a page", Assert.Throws<RequestRefusedException>(() => PageAddress.Check(given)).Message, StringComparison.Ordinal);

    /// <summary>Every page by its routes, with all that its state reads from the address: found by reflection, so that a new page is in it.</summary>
    public static TheoryData<string> States
    {
        get
        {
            var data = new TheoryData<string>();
            foreach (var page in typeof(PageAddress).Assembly.GetTypes())
                foreach (var route in page.GetCustomAttributes<RouteAttribute>().Select(r => r.Template))
                {
                    var names = page.GetProperties().Where(p => p.IsDefined(typeof(SupplyParameterFromQueryAttribute))).Select(p => p.GetCustomAttribute<SupplyParameterFromQueryAttribute>()!.Name ?? char.ToLowerInvariant(p.Name[0]) + p.Name[1..]);
                    data.Add(Regex.Replace(route, @"\{[^}]*\}", "1") + string.Concat(names.Select((name, i) => $"{(i == 0 ? '?' : '&')}{name}=a%20b%26c~d%7Ce,%C2%B5")));
                }
            return data;
        }
    }

    // About whoever looks, or about nothing: the same address shows others something else.
    private static readonly string[] Personal = ["/sign-in", "/no-access", "/account", "/account/notices", "/not-found"];

    [Theory]
    [MemberData(nameof(States))]
    public void The_state_of_every_page_is_kept_whole_and_only_personal_pages_are_refused(string address)
    {
        if (Personal.Contains(address.Split('?')[0])) Assert.Throws<RequestRefusedException>(() => PageAddress.Check(address));
        else Assert.Equal(address, PageAddress.Check(address));
    }

    [Fact]
    public void An_endless_address_is_refused() => Assert.Throws<RequestRefusedException>(() => PageAddress.Check("/drift?x=" + new string('a', PageAddress.Longest)));
}
