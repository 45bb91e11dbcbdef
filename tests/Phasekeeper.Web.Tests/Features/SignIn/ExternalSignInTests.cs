using System.Net;
using System.Security.Claims;
using Microsoft.AspNetCore.Authentication;
using Microsoft.AspNetCore.Hosting;
using Microsoft.Extensions.DependencyInjection;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.SignIn;
using Phasekeeper.Web.Hosting;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.SignIn;

/// <summary>Sign-in by an identity provider: off unless named, roles mapped at every sign-in, names not taken over.</summary>
public sealed class ExternalSignInTests : IClassFixture<ExternalSignInTests.ProviderHost>, IClassFixture<SignInHost>
{
    private readonly ProviderHost host;
    private readonly SignInHost without;

    public ExternalSignInTests(ProviderHost host, SignInHost without) => (this.host, this.without) = (host, without);

    [Fact]
    public async Task Where_none_is_named_nothing_of_it_exists()
    {
        Assert.DoesNotContain(await without.Services.GetRequiredService<IAuthenticationSchemeProvider>().GetAllSchemesAsync(), s => s.Name == ExternalSignIn.Scheme);
        using var browser = without.Browser();
        using var start = await browser.GetAsync(new Uri(ExternalSignIn.StartPath, UriKind.Relative));
        Assert.StartsWith("/sign-in?", start.Headers.Location!.ToString(), StringComparison.Ordinal);
        Assert.DoesNotContain(ExternalSignIn.StartPath, await browser.GetStringAsync(new Uri("/sign-in", UriKind.Relative)), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Where_one_is_named_the_sign_in_page_leads_to_it()
    {
        Assert.Contains(await host.Services.GetRequiredService<IAuthenticationSchemeProvider>().GetAllSchemesAsync(), s => s.Name == ExternalSignIn.Scheme);
        Assert.Contains(ExternalSignIn.StartPath, await host.CreateClient().GetStringAsync(new Uri("/sign-in", UriKind.Relative)), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Groups_become_roles_at_every_sign_in()
    {
        var (first, refusal) = await Find("s-1", "greta", "wind-operators");
        Assert.Null(refusal);
        Assert.Equal([Roles.Operator], first!.Roles);
        Assert.Null(first.PasswordHash);
        var (second, _) = await Find("s-1", "greta under another name", "wind-leads", "canteen");
        Assert.Equal((first.Id, "greta"), (second!.Id, second.Name));
        Assert.Equal([Roles.CalibrationLead], second.Roles);
        Assert.NotEqual(first.SecurityStamp, second.SecurityStamp);
        Assert.Contains(host.Stores.Record.List(new RecordFilter { Subject = "greta" }, 10).Items, e => e.What == PeopleRecordKinds.Roles);
    }

    [Fact]
    public async Task Who_has_none_of_the_groups_is_refused_with_what_was_found()
    {
        var (person, refusal) = await Find("s-2", "hugo", "canteen");
        Assert.Null(person);
        Assert.Contains("canteen", refusal, StringComparison.Ordinal);
        Assert.DoesNotContain(host.Stores.People.All(), p => p.Name == "hugo");
    }

    [Fact]
    public async Task A_name_that_somebody_has_here_is_not_taken_over()
    {
        var (person, refusal) = await Find("s-3", "Administrator", "wind-leads");
        Assert.Null(person);
        Assert.Contains("already", refusal, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_person_locked_here_stays_out()
    {
        var (person, _) = await Find("s-4", "ines", "wind-operators");
        person!.LockedUntil = Person.Forever;
        Assert.True(await host.Stores.Database.WriteAsync(t => PeopleStore.Save(t, person)));
        Assert.Null((await Find("s-4", "ines", "wind-operators")).Person);
    }

    [Fact]
    public void A_role_that_does_not_exist_stops_the_start()
    {
        var settings = new OpenIdConnectSettings { Authority = "https://id.example", ClientId = "phasekeeper" };
        settings.Roles["x"] = "emperor";
        Assert.Contains("emperor", Assert.Throws<InvalidOperationException>(() => new ServiceCollection().AddExternalSignIn(settings)).Message, StringComparison.Ordinal);
    }

    private async Task<(Person? Person, string? Refusal)> Find(string subject, string name, params string[] groups)
    {
        await using var scope = host.Services.CreateAsyncScope();
        return await scope.ServiceProvider.GetRequiredService<ExternalPeople>().FindAsync(
            new ClaimsPrincipal(new ClaimsIdentity([new("sub", subject), new("preferred_username", name), .. groups.Select(g => new Claim("roles", g))], "provider")), "127.0.0.1");
    }

    /// <summary>A host with a provider that nobody calls.</summary>
    public sealed class ProviderHost : WebHost
    {
        /// <inheritdoc/>
        protected override bool SignsIn => false;

        /// <inheritdoc/>
        protected override void ConfigureWebHost(IWebHostBuilder builder)
        {
            base.ConfigureWebHost(builder);
            builder.UseSetting("Phasekeeper:Bootstrap:AdminPassword", SignInHost.AdminPassword);
            builder.UseSetting("Phasekeeper:OpenIdConnect:Authority", "https://id.example");
            builder.UseSetting("Phasekeeper:OpenIdConnect:ClientId", "phasekeeper");
            builder.UseSetting("Phasekeeper:OpenIdConnect:Roles:wind-operators", Roles.Operator);
            builder.UseSetting("Phasekeeper:OpenIdConnect:Roles:wind-leads", Roles.CalibrationLead);
        }
    }
}
