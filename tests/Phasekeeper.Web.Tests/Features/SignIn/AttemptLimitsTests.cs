using System.Net;
using System.Net.Http.Headers;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Identity;
using Microsoft.Extensions.DependencyInjection;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.SignIn;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.SignIn;

/// <summary>Guessing: many attempts at once, many names from one address, many tokens.</summary>
public sealed class AttemptLimitsTests : IClassFixture<AttemptLimitsTests.FewAttempts>, IDisposable
{
    private const string Password = "four words for a test", Wrong = "a wrong password";
    private readonly FewAttempts host;

    public AttemptLimitsTests(FewAttempts host) => this.host = host;

    // Each test guesses from an address of its own; the next one begins at this machine again.
    public void Dispose() => host.Caller = IPAddress.Loopback;

    [Fact]
    public async Task Attempts_sent_together_are_counted_one_by_one()
    {
        using (await host.New("anna", Password, Roles.Viewer)) { }
        host.Caller = IPAddress.Parse("192.0.2.10"); // RFC 5737: addresses for documentation
        using var browser = host.Browser();
        var token = await SignInHost.FormToken(browser, "/sign-in");
        var answers = await Task.WhenAll(Enumerable.Range(0, 2 * SignInRegistration.WrongPasswords).Select(_ => SignInHost.Post(browser, "/sign-in", token, "sign-in", ("Given.Name", "anna"), ("Given.Password", Wrong))));
        foreach (var answer in answers) answer.Dispose();
        Assert.NotNull(host.Stores.People.All().Single(p => p.Name == "anna").LockedUntil);
        using var right = await SignInHost.SignIn(browser, "anna", Password);
        Assert.NotEqual(HttpStatusCode.Redirect, right.StatusCode);
    }

    [Fact]
    public async Task A_refusal_costs_one_comparison_whether_the_name_is_unknown_known_or_paused()
    {
        using (await host.New("bert", Password, Roles.Viewer)) { }
        host.Caller = IPAddress.Parse("192.0.2.20");
        using var browser = host.Browser();
        foreach (var name in new[] { "nobody of this name" }.Concat(Enumerable.Repeat("bert", SignInRegistration.WrongPasswords + 1)))
        {
            var before = host.Compared;
            using var refused = await SignInHost.SignIn(browser, name, Wrong);
            Assert.Equal(HttpStatusCode.OK, refused.StatusCode);
            Assert.Equal(before + 1, host.Compared);
        }
        Assert.NotNull(host.Stores.People.All().Single(p => p.Name == "bert").LockedUntil);
    }

    [Fact]
    public async Task After_many_names_from_one_address_the_next_attempt_there_is_told_when_to_come_back()
    {
        using (await host.New("cora", Password, Roles.Viewer)) { }
        host.Caller = IPAddress.Parse("192.0.2.30");
        using var browser = host.Browser();
        for (var i = 0; i < FewAttempts.AtAStretch; i++)
        {
            using var wrong = await SignInHost.SignIn(browser, $"name {i}", Wrong);
            Assert.Equal(HttpStatusCode.OK, wrong.StatusCode);
        }
        var compared = host.Compared;
        using var late = await SignInHost.SignIn(browser, "cora", Password);
        Assert.Equal(HttpStatusCode.TooManyRequests, late.StatusCode);
        Assert.Equal(FewAttempts.Every, late.Headers.RetryAfter!.Delta);
        Assert.Contains($"try again in {FewAttempts.Every.TotalSeconds:0} s", await late.Content.ReadAsStringAsync(), StringComparison.Ordinal);
        Assert.Equal(compared, host.Compared);
        // Elsewhere nobody waits for it.
        host.Caller = IPAddress.Parse("192.0.2.31");
        using var elsewhere = await host.SignedIn("cora", Password);
    }

    [Fact]
    public async Task After_many_wrong_passwords_from_many_addresses_a_name_waits_too()
    {
        using var browser = host.Browser();
        for (var i = 0; i < AttemptRates.Default.PerName; i++)
        {
            host.Caller = new IPAddress([192, 0, 2, (byte)(40 + i)]);
            using var wrong = await SignInHost.SignIn(browser, "dennis", Wrong);
            Assert.Equal(HttpStatusCode.OK, wrong.StatusCode);
        }
        using var late = await SignInHost.SignIn(browser, " DENNIS ", Wrong);
        Assert.Equal(HttpStatusCode.TooManyRequests, late.StatusCode);
        using var other = await SignInHost.SignIn(browser, "dennis the second", Wrong);
        Assert.Equal(HttpStatusCode.OK, other.StatusCode);
    }

    [Fact]
    public async Task After_many_unknown_tokens_guessing_has_to_wait_and_a_right_personal_token_has_not()
    {
        using var person = await host.New("elsa", Password, Roles.Viewer);
        using var made = await SignInHost.Send(person, "/account", "token", ("Wish.Name", "t"), ("Wish.Scope", Roles.Viewer), ("Wish.Days", "1"));
        var token = System.Text.RegularExpressions.Regex.Match(await made.Content.ReadAsStringAsync(), "pk_[0-9a-f]{64}").Value;
        // Loopback, where the bootstrap token counts; tokens are counted apart from passwords.
        for (var i = 0; i < FewAttempts.AtAStretch; i++) Assert.Equal(HttpStatusCode.Unauthorized, (await Ask($"guess {i}")).Status);
        foreach (var guess in new[] { "another guess", "pk_another", WebHost.Token })
        {
            var (status, wait, text) = await Ask(guess);
            Assert.Equal((HttpStatusCode.TooManyRequests, (TimeSpan?)FewAttempts.Every), (status, wait));
            Assert.Contains($"try again in {FewAttempts.Every.TotalSeconds:0} s", text, StringComparison.Ordinal);
        }
        Assert.Equal(HttpStatusCode.OK, (await Ask(token)).Status);
    }

    [Theory]
    [InlineData("192.0.2.1", null, "192.0.2.1")]
    [InlineData("::ffff:192.0.2.1", null, "192.0.2.1")]
    [InlineData("2001:db8:1:2:3:4:5:6", null, "20010DB800010002")]
    [InlineData("127.0.0.1", "198.51.100.1, 203.0.113.9", "by proxy 203.0.113.9")]
    [InlineData("192.0.2.1", "203.0.113.9", "192.0.2.1")]
    public void An_address_is_a_network_of_its_own_or_what_a_proxy_on_this_machine_says(string remote, string? forwarded, string expected)
    {
        var http = new DefaultHttpContext { Connection = { RemoteIpAddress = IPAddress.Parse(remote) } };
        if (forwarded is not null) http.Request.Headers["X-Forwarded-For"] = forwarded;
        Assert.Equal(expected, AttemptLimits.AddressOf(http));
    }

    private async Task<(HttpStatusCode Status, TimeSpan? Wait, string Text)> Ask(string token)
    {
        using var client = host.CreateClient();
        using var request = new HttpRequestMessage(HttpMethod.Get, ApiClient.Address("flags"));
        request.Headers.Authorization = new AuthenticationHeaderValue("Bearer", token);
        using var answer = await client.SendAsync(request);
        return (answer.StatusCode, answer.Headers.RetryAfter?.Delta, await answer.Content.ReadAsStringAsync());
    }

    /// <summary>A host that answers few wrong attempts, and counts how often a password is compared.</summary>
    public sealed class FewAttempts : SignInHost
    {
        /// <summary>Wrong ones of an address.</summary>
        public const int AtAStretch = 7;

        /// <summary>Longer than a test takes.</summary>
        public static readonly TimeSpan Every = TimeSpan.FromMinutes(10);

        private int compared;

        /// <summary>How often a password was compared.</summary>
        public int Compared => Volatile.Read(ref compared);

        /// <inheritdoc/>
        protected override AttemptRates Rates => AttemptRates.Default with { PerAddress = AtAStretch, AddressEvery = Every, NameEvery = Every };

        /// <inheritdoc/>
        protected override void ConfigureWebHost(IWebHostBuilder builder)
        {
            base.ConfigureWebHost(builder);
            builder.ConfigureServices(services => services.AddScoped<IPasswordHasher<Person>>(_ => new Counting(this)));
        }

        // A cheap hash: how long the real one takes is not what is looked at.
        private sealed class Counting(FewAttempts host) : IPasswordHasher<Person>
        {
            public string HashPassword(Person user, string password) => "hash of " + password;

            public PasswordVerificationResult VerifyHashedPassword(Person user, string hashedPassword, string providedPassword)
            {
                Interlocked.Increment(ref host.compared);
                return hashedPassword == "hash of " + providedPassword ? PasswordVerificationResult.Success : PasswordVerificationResult.Failed;
            }
        }
    }
}
