using System.Net;
using System.Text.Json;
using Microsoft.Extensions.DependencyInjection;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.SignIn;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.SignIn;

/// <summary>Wrong passwords stand in the record, and cannot fill it.</summary>
public sealed class RefusedSignInsTests : IClassFixture<RefusedSignInsTests.Host>, IDisposable
{
    private const string Password = "four words for a test", Wrong = "a wrong password";
    private readonly Host host;

    public RefusedSignInsTests(Host host) => this.host = host;

    public void Dispose() => host.Caller = IPAddress.Loopback;

    [Fact]
    public async Task One_wrong_password_is_on_record_at_once_with_account_address_and_time()
    {
        using (await host.New("alma", Password, Roles.Viewer)) { }
        var before = host.Stores.Record.Head().Entries;
        host.Caller = IPAddress.Parse("192.0.2.60"); // RFC 5737: addresses for documentation
        await Try(" ALMA ", Wrong);
        var entry = Assert.Single(Refused("alma"));
        Assert.Equal(("system", "192.0.2.60", before + 1), (entry.Person, entry.Address, entry.Number));
        Assert.Null(entry.After);
    }

    [Fact]
    public async Task What_follows_is_summed_up_before_the_pause_and_the_sign_in_that_end_it()
    {
        using (await host.New("bela", Password, Roles.Viewer)) { }
        for (var i = 0; i < SignInRegistration.WrongPasswords; i++)
        {
            host.Caller = IPAddress.Parse(i < 3 ? "192.0.2.61" : "192.0.2.62");
            await Try("bela", Wrong);
        }
        var entries = host.Stores.Record.List(new RecordFilter { Subject = "bela" }, 3).Items;
        Assert.Equal([PeopleRecordKinds.Pause, PeopleRecordKinds.Refuse, PeopleRecordKinds.Refuse], entries.Select(e => e.What));
        using var sum = JsonDocument.Parse(entries[1].After!);
        Assert.Equal(4, sum.RootElement.GetProperty("refused").GetInt32());
        Assert.Equal((2, 2), (sum.RootElement.GetProperty("from").GetProperty("192.0.2.61").GetInt32(), sum.RootElement.GetProperty("from").GetProperty("192.0.2.62").GetInt32()));

        using (await host.New("cilla", Password, Roles.Viewer)) { }
        for (var i = 0; i < 3; i++) await Try("cilla", Wrong);
        using var right = await host.SignedIn("cilla", Password);
        Assert.Equal([PeopleRecordKinds.SignIn, PeopleRecordKinds.Refuse, PeopleRecordKinds.Refuse], host.Stores.Record.List(new RecordFilter { Subject = "cilla" }, 3).Items.Select(e => e.What));
    }

    [Fact]
    public async Task Text_typed_as_a_name_that_nobody_has_is_written_nowhere()
    {
        const string typed = "my secret password in the wrong field";
        host.Caller = IPAddress.Parse("192.0.2.63");
        for (var i = 0; i < 5; i++) await Try(typed + i, Wrong);
        var refused = host.Services.GetRequiredService<RefusedSignIns>();
        await refused.WriteAsync(all: true);
        Assert.NotEmpty(Refused(RefusedSignIns.Nobody));
        Assert.Empty(host.Stores.Record.List(new RecordFilter { Text = "secret password" }, 10).Items);
        Assert.DoesNotContain(host.Stores.Record.List(new RecordFilter(), 1000).Items, e => $"{e.Subject} {e.Person} {e.Before} {e.After} {e.Reason}".Contains("secret password", StringComparison.Ordinal));
    }

    [Fact]
    public async Task Guessing_from_many_addresses_adds_two_entries_a_while_however_long_it_goes_on()
    {
        await using var quiet = new Host();
        var clock = new StoppedClock();
        using var refused = new RefusedSignIns(quiet.Stores, clock, quiet.Services.GetRequiredService<Microsoft.Extensions.Logging.ILogger<RefusedSignIns>>());
        var before = quiet.Stores.Record.Head().Entries;
        for (var i = 0; i < 1000; i++) await refused.AddAsync("dagny", $"192.0.2.{i % 200}");
        Assert.Equal(before + 1, quiet.Stores.Record.Head().Entries);
        await refused.WriteAsync(all: false);
        Assert.Equal(before + 1, quiet.Stores.Record.Head().Entries);
        clock.Now += RefusedSignIns.While;
        await refused.WriteAsync(all: false);
        var sum = quiet.Stores.Record.Get(before + 2)!;
        using var after = JsonDocument.Parse(sum.After!);
        Assert.Equal(999, after.RootElement.GetProperty("refused").GetInt32());
        var listed = after.RootElement.GetProperty("from").EnumerateObject().ToArray();
        Assert.Equal(10, listed.Length);
        Assert.Equal(999, listed.Sum(a => a.Value.GetInt32()) + after.RootElement.GetProperty("elsewhere").GetInt32());
        // The next one begins a while of its own; one without more leaves nothing behind it.
        await refused.AddAsync("dagny", "192.0.2.1");
        await refused.WriteAsync(all: true);
        Assert.Equal(before + 3, quiet.Stores.Record.Head().Entries);
    }

    [Fact]
    public async Task A_stop_of_the_program_writes_what_was_counted()
    {
        await using var quiet = new Host();
        using var refused = new RefusedSignIns(quiet.Stores, TimeProvider.System, quiet.Services.GetRequiredService<Microsoft.Extensions.Logging.ILogger<RefusedSignIns>>());
        await refused.StartAsync(CancellationToken.None);
        await refused.AddAsync("edda", "192.0.2.1");
        await refused.AddAsync("edda", "192.0.2.1");
        await refused.StopAsync(CancellationToken.None);
        Assert.Equal("1 more refused after the first", quiet.Stores.Record.List(new RecordFilter { Subject = "edda" }, 1).Items.Single().Reason);
    }

    private async Task Try(string name, string password)
    {
        using var browser = host.Browser();
        using var answer = await SignInHost.SignIn(browser, name, password);
        Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
    }

    private IReadOnlyList<RecordEntry> Refused(string subject) => host.Stores.Record.List(new RecordFilter { Subject = subject, What = PeopleRecordKinds.Refuse }, 10).Items;

    /// <summary>A host that answers all of a test's wrong attempts.</summary>
    public sealed class Host : SignInHost
    {
        /// <inheritdoc/>
        protected override AttemptRates Rates => AttemptRates.Default with { PerAddress = 1000 };
    }

    private sealed class StoppedClock : TimeProvider
    {
        public DateTimeOffset Now { get; set; } = new(2031, 5, 9, 0, 0, 0, TimeSpan.Zero);

        public override DateTimeOffset GetUtcNow() => Now;
    }
}
