using System.Net;
using Microsoft.AspNetCore.Identity;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Options;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api.Access;
using Phasekeeper.Web.Features.SignIn;
using Phasekeeper.Web.Hosting;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.SignIn;

/// <summary>Name and password at the door, as on a mission of one's own.</summary>
public sealed class SignInTests(SignInHost host) : IClassFixture<SignInHost>
{
    private const string Password = "four words for a test";

    [Fact]
    public async Task Without_sign_in_pages_lead_to_the_door_and_calls_are_refused()
    {
        using var browser = host.Browser();
        using var page = await browser.GetAsync(new Uri("/", UriKind.Relative));
        Assert.Equal("/sign-in?returnUrl=%2F", page.Headers.Location!.ToString());
        using var call = await browser.GetAsync(ApiClient.Address("flags"));
        Assert.Equal(HttpStatusCode.Unauthorized, call.StatusCode);
        Assert.Contains("Nobody is signed in", await call.Content.ReadAsStringAsync(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Who_is_not_signed_in_learns_nothing_of_the_mission()
    {
        using var browser = host.Browser();
        var page = await browser.GetStringAsync(new Uri("/sign-in", UriKind.Relative));
        Assert.Contains("<h1", page, StringComparison.Ordinal);
        Assert.DoesNotContain("mission-name", page, StringComparison.Ordinal);
        Assert.DoesNotContain("main-nav", page, StringComparison.Ordinal);
    }

    [Fact]
    public async Task The_first_administrator_signs_in_with_the_password_of_the_setting()
    {
        using var browser = await host.Administrator();
        var page = await browser.GetStringAsync(new Uri("/people", UriKind.Relative));
        Assert.Contains("Add a person", page, StringComparison.Ordinal);
        Assert.Contains(host.Stores.Record.List(new RecordFilter(), 100).Items, e => e.What == PeopleRecordKinds.SignIn && e.Person == FirstAdministrator.Name && e.Address == "127.0.0.1");
    }

    [Fact]
    public async Task Where_nobody_is_and_no_password_is_set_one_is_made_shown_once_and_must_be_changed()
    {
        await using var empty = new NoPasswordHost();
        using var scope = empty.Services.CreateScope();
        // The host's start has made the administrator already, and printed the password to the console.
        var administrator = Assert.Single(empty.Stores.People.All());
        Assert.True(administrator.MustChangePassword);
        Assert.Equal([Roles.Administrator], administrator.Roles);
        Assert.Null(await scope.ServiceProvider.GetRequiredService<FirstAdministrator>().MakeAsync());
    }

    [Fact]
    public async Task Of_two_first_starts_at_once_one_makes_the_administrator_and_shows_the_password_that_counts()
    {
        await using var demo = new WebHost();
        Assert.Empty(demo.Stores.People.All());
        var shown = await Task.WhenAll(Enumerable.Range(0, 2).Select(_ => Task.Run(async () =>
        {
            await using var scope = demo.Services.CreateAsyncScope();
            return await new FirstAdministrator(demo.Stores, scope.ServiceProvider.GetRequiredService<UserManager<Person>>(), new DemoAccess(IsOffered: false), scope.ServiceProvider.GetRequiredService<IOptions<PhasekeeperOptions>>(), TimeProvider.System).MakeAsync();
        })));
        var password = System.Text.RegularExpressions.Regex.Match(Assert.Single(shown, s => s is not null)!, "password (\\S+)").Groups[1].Value;
        await using var check = demo.Services.CreateAsyncScope();
        var people = check.ServiceProvider.GetRequiredService<UserManager<Person>>();
        Assert.True(await people.CheckPasswordAsync(Assert.Single(demo.Stores.People.All()), password));
        Assert.Single(demo.Stores.Record.List(new RecordFilter { What = PeopleRecordKinds.Add }, 10).Items);
    }

    [Fact]
    public async Task A_password_made_by_someone_else_opens_nothing_until_it_is_changed()
    {
        var made = await host.Add("berta", Roles.Viewer);
        using var browser = await host.SignedIn("berta", made);
        using var page = await browser.GetAsync(new Uri("/flags", UriKind.Relative));
        Assert.Equal("/account", page.Headers.Location!.ToString());
        using var call = await browser.GetAsync(ApiClient.Address("flags"));
        Assert.Equal(HttpStatusCode.Forbidden, call.StatusCode);
        using var changed = await SignInHost.Send(browser, "/account", "password", ("Passwords.Present", made), ("Passwords.Chosen", Password), ("Passwords.Repeated", Password));
        Assert.Equal(HttpStatusCode.OK, changed.StatusCode);
        using var after = await browser.GetAsync(ApiClient.Address("flags"));
        Assert.Equal(HttpStatusCode.OK, after.StatusCode);
    }

    [Theory]
    [InlineData("short", "at least 12")]
    [InlineData("aaaaaaaaaaaaaaaa", "different characters")]
    public async Task A_weak_password_is_refused_with_the_reason(string weak, string reason)
    {
        var name = "weak " + weak;
        using var browser = await host.New(name, Password, Roles.Viewer);
        using var answer = await SignInHost.Send(browser, "/account", "password", ("Passwords.Present", Password), ("Passwords.Chosen", weak), ("Passwords.Repeated", weak));
        Assert.Contains(reason, await answer.Content.ReadAsStringAsync(), StringComparison.OrdinalIgnoreCase);
        using var same = await host.SignedIn(name, Password);
    }

    [Fact]
    public async Task After_five_wrong_passwords_the_right_one_is_refused_too_until_an_administrator_lifts_it()
    {
        using (await host.New("carl", Password, Roles.Operator)) { }
        using var browser = host.Browser();
        for (var i = 0; i < SignInRegistration.WrongPasswords; i++)
        {
            using var wrong = await SignInHost.SignIn(browser, "carl", "a wrong password");
            Assert.Contains("paused", await wrong.Content.ReadAsStringAsync(), StringComparison.Ordinal);
        }
        using var right = await SignInHost.SignIn(browser, "carl", Password);
        Assert.Equal(HttpStatusCode.OK, right.StatusCode);
        Assert.DoesNotContain(right.Headers, h => h.Key == "Set-Cookie" && h.Value.Any(v => v.StartsWith(SignInRegistration.Cookie + "=", StringComparison.Ordinal)));
        Assert.Single(host.Stores.Record.List(new RecordFilter { What = PeopleRecordKinds.Pause, Subject = "carl" }, 10).Items);

        var carl = host.Stores.People.All().Single(p => p.Name == "carl");
        using var administrator = await host.Administrator();
        using var unlocked = await SignInHost.Send(administrator, "/people", "step", ("Asked.Id", carl.Id), ("Asked.Step", "unlock"));
        Assert.Contains("carl may sign in again.", await unlocked.Content.ReadAsStringAsync(), StringComparison.Ordinal);
        using var again = await host.SignedIn("carl", Password);
    }

    [Fact]
    public async Task An_unknown_name_is_refused_with_the_same_words_as_a_wrong_password()
    {
        using (await host.New("dora", Password, Roles.Viewer)) { }
        using var browser = host.Browser();
        using var unknown = await SignInHost.SignIn(browser, "nobody of this name", "a wrong password");
        using var wrong = await SignInHost.SignIn(browser, "dora", "a wrong password");
        foreach (var answer in new[] { unknown, wrong })
            Assert.Contains(WebUtility.HtmlEncode(PasswordSignIn.Refusal)[..40], await answer.Content.ReadAsStringAsync(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_form_without_its_antiforgery_token_is_refused()
    {
        using var browser = host.Browser();
        using var body = new FormUrlEncodedContent([new("_handler", "sign-in"), new("Given.Name", FirstAdministrator.Name), new("Given.Password", SignInHost.AdminPassword)]);
        using var answer = await browser.PostAsync(new Uri("/sign-in", UriKind.Relative), body);
        Assert.Equal(HttpStatusCode.BadRequest, answer.StatusCode);
    }

    [Fact]
    public async Task A_page_of_another_site_cannot_use_a_session()
    {
        using var browser = await host.New("emil", Password, Roles.Operator);
        using var request = new HttpRequestMessage(HttpMethod.Post, ApiClient.Address("packets")) { Content = new ByteArrayContent([]) };
        request.Headers.Add("Sec-Fetch-Site", "cross-site");
        using var answer = await browser.SendAsync(request);
        Assert.Equal(HttpStatusCode.Unauthorized, answer.StatusCode);
    }

    [Theory]
    [InlineData("/flags?state=raised", true)]
    [InlineData("/", true)]
    [InlineData("//elsewhere.example", false)]
    [InlineData("/\\elsewhere.example", false)]
    [InlineData("https://elsewhere.example", false)]
    [InlineData("/\t/elsewhere.example", false)]
    [InlineData("", false)]
    public void A_sign_in_leads_back_to_an_address_of_ours_only(string address, bool isOurs) => Assert.Equal(isOurs, ReturnAddress.IsLocal(address));

    [Fact]
    public async Task A_locked_person_a_changed_role_and_a_reset_password_end_open_sessions_within_a_look()
    {
        var steps = new (string Name, Func<HttpClient, string, Task<HttpResponseMessage>> Take)[]
        {
            ("frida", (admin, id) => SignInHost.Send(admin, "/people", "step", ("Asked.Id", id), ("Asked.Step", "lock"))),
            ("gustav", (admin, id) => SignInHost.Send(admin, "/people", "roles", ("Asked.Id", id), ("Asked.Roles", Roles.Viewer))),
            ("hanna", (admin, id) => SignInHost.Send(admin, "/people", "step", ("Asked.Id", id), ("Asked.Step", "reset"))),
        };
        using var administrator = await host.Administrator();
        foreach (var (name, take) in steps)
        {
            using var session = await host.New(name, Password, Roles.Operator);
            using (var before = await session.GetAsync(ApiClient.Address("flags"))) Assert.Equal(HttpStatusCode.OK, before.StatusCode);
            using var taken = await take(administrator, host.Stores.People.All().Single(p => p.Name == name).Id);
            Assert.DoesNotContain("people-refusal", await taken.Content.ReadAsStringAsync(), StringComparison.Ordinal);
            await Task.Delay(SignInHost.Revalidation * 2);
            using var after = await session.GetAsync(ApiClient.Address("flags"));
            Assert.True(after.StatusCode == HttpStatusCode.Unauthorized, $"{name}'s session still answers {after.StatusCode}.");
        }
    }

    [Fact]
    public async Task Sign_out_ends_the_session()
    {
        using var browser = await host.New("ida", Password, Roles.Viewer);
        var html = await browser.GetStringAsync(new Uri("/help", UriKind.Relative));
        var token = System.Text.RegularExpressions.Regex.Match(html, "name=\"__RequestVerificationToken\" value=\"([^\"]+)\"").Groups[1].Value;
        using var body = new FormUrlEncodedContent([new("__RequestVerificationToken", token)]);
        using var answer = await browser.PostAsync(new Uri("/sign-out", UriKind.Relative), body);
        Assert.Equal("/sign-in", answer.Headers.Location!.ToString());
        using var after = await browser.GetAsync(ApiClient.Address("flags"));
        Assert.Equal(HttpStatusCode.Unauthorized, after.StatusCode);
    }

    private sealed class NoPasswordHost : WebHost
    {
        protected override bool SignsIn => false;
    }
}
