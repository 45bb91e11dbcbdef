using System.Net;
using System.Text;
using Microsoft.AspNetCore.Hosting;
using Microsoft.Extensions.DependencyInjection;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.SignIn;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.People;

/// <summary>What a session still may between two looks at it: see, but change nothing.</summary>
public sealed class StaleSessionTests(StaleSessionTests.RarelyLooked host) : IClassFixture<StaleSessionTests.RarelyLooked>
{
    private const string Password = "four words for a test";

    [Theory]
    [InlineData("lock")]
    [InlineData("reset")]
    [InlineData("roles")]
    public async Task Whoever_was_changed_meanwhile_decides_and_changes_nothing(string step)
    {
        var name = "lead " + step;
        using var lead = await host.New(name, Password, Roles.CalibrationLead);
        var id = host.Stores.People.All().Single(p => p.Name == name).Id;
        using var administrator = await host.Administrator();
        using (var done = step == "roles"
            ? await SignInHost.Send(administrator, "/people", "roles", ("Asked.Id", id), ("Asked.Roles", Roles.Viewer))
            : await SignInHost.Send(administrator, "/people", "step", ("Asked.Id", id), ("Asked.Step", step)))
            Assert.DoesNotContain("people-refusal", await done.Content.ReadAsStringAsync(), StringComparison.Ordinal);
        // The cookie is still taken...
        using (var seen = await lead.GetAsync(ApiClient.Address("flags"))) Assert.Equal(HttpStatusCode.OK, seen.StatusCode);
        // ...but not for a decision,
        using var body = new StringContent("""{"reason":"r"}""", Encoding.UTF8, "application/json");
        using var decided = await lead.PostAsync(ApiClient.Address("coefficients/1/reinstate"), body);
        Assert.Equal(HttpStatusCode.Forbidden, decided.StatusCode);
        Assert.Contains("Sign in again", await decided.Content.ReadAsStringAsync(), StringComparison.Ordinal);
        // nor for a token.
        using var asked = await SignInHost.Send(lead, "/account", "token", ("Wish.Name", "t"), ("Wish.Scope", Roles.Viewer), ("Wish.Days", "1"));
        Assert.DoesNotContain(host.Stores.Tokens.All(), t => t.Person == id);
    }

    /// <summary>A host that looks at open sessions once an hour.</summary>
    public sealed class RarelyLooked : SignInHost
    {
        /// <inheritdoc/>
        protected override void ConfigureWebHost(IWebHostBuilder builder)
        {
            base.ConfigureWebHost(builder);
            builder.ConfigureServices(services => services.AddSingleton(new SignInTimes(TimeSpan.FromHours(1))));
        }
    }
}
