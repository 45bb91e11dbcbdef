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

    [Fact]
    public void An_endless_address_is_refused() => Assert.Throws<RequestRefusedException>(() => PageAddress.Check("/drift?x=" + new string('a', PageAddress.Longest)));
}
