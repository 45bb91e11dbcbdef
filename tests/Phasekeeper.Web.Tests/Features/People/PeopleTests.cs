using System.Net;
using Microsoft.AspNetCore.Hosting;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api.Access;
using Phasekeeper.Web.Features.SignIn;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.People;

/// <summary>Decisions about people, by the page.</summary>
public sealed class PeopleTests(SignInHost host) : IClassFixture<SignInHost>
{
    private const string Password = "four words for a test";

    [Fact]
    public async Task Only_an_administrator_sees_the_page_or_posts_to_it()
    {
        using var analyst = await host.New("anton", Password, Roles.Analyst, Roles.CalibrationLead);
        using var page = await analyst.GetAsync(new Uri("/people", UriKind.Relative));
        Assert.Equal("/no-access", page.Headers.Location!.ToString());
        // The form's token is of another page; the role is looked at before it.
        using var posted = await Post(analyst, "/help", "/people", ("_handler", "add"), ("Asked.Name", "x"), ("Asked.Roles", Roles.Administrator));
        Assert.NotEqual(HttpStatusCode.OK, posted.StatusCode);
        Assert.DoesNotContain(host.Stores.People.All(), p => p.Name == "x");
    }

    [Fact]
    public async Task Nobody_changes_their_own_roles_or_locks_themselves_by_any_road()
    {
        using var administrator = await host.Administrator();
        var self = host.Stores.People.All().Single(p => p.Name == FirstAdministrator.Name);
        using var roles = await SignInHost.Send(administrator, "/people", "roles", ("Asked.Id", self.Id), ("Asked.Roles", Roles.Administrator), ("Asked.Roles", Roles.CalibrationLead));
        Assert.Contains("Nobody changes their own roles", await roles.Content.ReadAsStringAsync(), StringComparison.Ordinal);
        using var locked = await SignInHost.Send(administrator, "/people", "step", ("Asked.Id", self.Id), ("Asked.Step", "lock"));
        Assert.Contains("Nobody changes their own roles", await locked.Content.ReadAsStringAsync(), StringComparison.Ordinal);
        Assert.Equal([Roles.Administrator], host.Stores.People.Get(self.Id)!.Roles);
    }

    [Fact]
    public async Task The_last_administrator_who_can_sign_in_stays_one()
    {
        await using var demo = new DemoWithPeople();
        using var browser = demo.CreateClient();
        browser.DefaultRequestHeaders.Add("Cookie", $"{DemoAccess.RoleCookie}={Roles.Administrator}");
        var last = demo.Stores.People.All().Single();
        using var locked = await SignInHost.Send(browser, "/people", "step", ("Asked.Id", last.Id), ("Asked.Step", "lock"));
        Assert.Contains("is the last administrator who can sign in", await locked.Content.ReadAsStringAsync(), StringComparison.Ordinal);
        using var roles = await SignInHost.Send(browser, "/people", "roles", ("Asked.Id", last.Id), ("Asked.Roles", Roles.Viewer));
        Assert.Contains("is the last administrator who can sign in", await roles.Content.ReadAsStringAsync(), StringComparison.Ordinal);
        Assert.False(demo.Stores.People.Get(last.Id)!.IsLockedByAdministrator);
        Assert.Equal([Roles.Administrator], demo.Stores.People.Get(last.Id)!.Roles);
        using (await SignInHost.Send(browser, "/people", "add", ("Asked.Name", "bruno"), ("Asked.Roles", Roles.Administrator))) { }
        using (await SignInHost.Send(browser, "/people", "step", ("Asked.Id", last.Id), ("Asked.Step", "lock"))) { }
        Assert.True(demo.Stores.People.Get(last.Id)!.IsLockedByAdministrator);
    }

    [Fact]
    public async Task Who_comes_by_an_identity_provider_is_not_another_administrator_and_gets_no_password()
    {
        await using var demo = new DemoWithPeople();
        using var browser = demo.CreateClient();
        browser.DefaultRequestHeaders.Add("Cookie", $"{DemoAccess.RoleCookie}={Roles.Administrator}");
        var last = demo.Stores.People.All().Single();
        var elsewhere = new Person { Name = "otto", NormalizedName = "OTTO", SecurityStamp = "s" };
        elsewhere.Roles.Add(Roles.Administrator);
        Assert.True(await demo.Stores.Database.WriteAsync(t => PeopleStore.Add(t, elsewhere)));
        // The provider may take the role away at the next sign-in: then nobody would be left.
        using var locked = await SignInHost.Send(browser, "/people", "step", ("Asked.Id", last.Id), ("Asked.Step", "lock"));
        Assert.Contains("is the last administrator who can sign in with a password", await locked.Content.ReadAsStringAsync(), StringComparison.Ordinal);
        using var reset = await SignInHost.Send(browser, "/people", "step", ("Asked.Id", elsewhere.Id), ("Asked.Step", "reset"));
        Assert.Contains("has no password here", await reset.Content.ReadAsStringAsync(), StringComparison.Ordinal);
        Assert.Null(demo.Stores.People.Get(elsewhere.Id)!.PasswordHash);
    }

    [Theory]
    [InlineData("system")]
    [InlineData("Bootstrap")]
    [InlineData("demo analyst")]
    [InlineData(" ")]
    public async Task A_name_that_the_program_itself_uses_is_given_to_nobody(string name)
    {
        using var administrator = await host.Administrator();
        using var answer = await SignInHost.Send(administrator, "/people", "add", ("Asked.Name", name), ("Asked.Roles", Roles.Viewer));
        Assert.Contains("cannot be used", await answer.Content.ReadAsStringAsync(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Names_differ_by_more_than_capitals()
    {
        await host.Add("Clara", Roles.Viewer);
        using var administrator = await host.Administrator();
        using var answer = await SignInHost.Send(administrator, "/people", "add", ("Asked.Name", "CLARA"), ("Asked.Roles", Roles.Viewer));
        Assert.Contains("capitals make no difference", await answer.Content.ReadAsStringAsync(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Every_change_stands_in_the_record_with_who_what_before_and_after_and_without_secrets()
    {
        var made = await host.Add("emma", Roles.Viewer);
        using var administrator = await host.Administrator();
        var id = host.Stores.People.All().Single(p => p.Name == "emma").Id;
        using (await SignInHost.Send(administrator, "/people", "roles", ("Asked.Id", id), ("Asked.Roles", Roles.Operator))) { }
        using (await SignInHost.Send(administrator, "/people", "step", ("Asked.Id", id), ("Asked.Step", "lock"))) { }
        var entries = host.Stores.Record.List(new RecordFilter { Subject = "emma" }, 100).Items.Reverse().ToArray();
        Assert.Equal([PeopleRecordKinds.Add, PeopleRecordKinds.Roles, PeopleRecordKinds.Lock], entries.Select(e => e.What));
        Assert.All(entries, e => Assert.Equal((FirstAdministrator.Name, Roles.Administrator, "127.0.0.1"), (e.Person, e.Role, e.Address)));
        Assert.Contains("viewer", entries[1].Before!, StringComparison.Ordinal);
        Assert.Contains("operator", entries[1].After!, StringComparison.Ordinal);
        var person = host.Stores.People.Get(id)!;
        Assert.All(entries, e => Assert.DoesNotContain(made, e.Before + e.After, StringComparison.Ordinal));
        Assert.All(entries, e => Assert.DoesNotContain(person.PasswordHash!, e.Before + e.After, StringComparison.Ordinal));
    }

    private static async Task<HttpResponseMessage> Post(HttpClient browser, string tokenFrom, string to, params (string Name, string Value)[] fields)
    {
        var html = await browser.GetStringAsync(new Uri(tokenFrom, UriKind.Relative));
        var token = System.Text.RegularExpressions.Regex.Match(html, "name=\"__RequestVerificationToken\" value=\"([^\"]+)\"").Groups[1].Value;
        using var body = new FormUrlEncodedContent([new("__RequestVerificationToken", token), .. fields.Select(f => KeyValuePair.Create(f.Name, f.Value))]);
        return await browser.PostAsync(new Uri(to, UriKind.Relative), body);
    }

    private sealed class DemoWithPeople : WebHost
    {
        protected override void ConfigureWebHost(IWebHostBuilder builder)
        {
            base.ConfigureWebHost(builder);
            builder.UseSetting("Phasekeeper:Bootstrap:AdminPassword", SignInHost.AdminPassword);
        }
    }
}
