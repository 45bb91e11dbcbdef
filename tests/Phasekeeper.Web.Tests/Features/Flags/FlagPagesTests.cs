using System.Net.Http.Json;
using System.Text.Json;
using Microsoft.Extensions.DependencyInjection;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Flags.Life;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Pipeline.Assessment;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Flags;
using Phasekeeper.Web.Shared.Plots;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Flags;

public sealed class FlagPagesTests(WebHost host) : IClassFixture<WebHost>, IAsyncLifetime
{
    private static int orbits = 4321;

    // Each test has a flag of its own, a day after the one before.
    private readonly int orbit = Interlocked.Increment(ref orbits);
    private Flag flag = default!;

    private Instant From => Instant.FromUtc(2031, 4, 20, 6).AddSeconds(86_400.0 * orbit);

    public async Task InitializeAsync() =>
        flag = await SampleFlag.RaiseAsync(host, orbit, From, new FlagEvidence(From.AddSeconds(-6000), From.AddSeconds(12000), new SeriesKey("thermal-residual-wind", "F", "green")));

    public Task DisposeAsync() => Task.CompletedTask;

    [Fact]
    public async Task The_list_links_to_it_and_is_narrowed_by_its_address()
    {
        Assert.Contains($"href=\"/flags/{flag.Id}\"", await Page($"/flags?state=raised&orbit={orbit}"), StringComparison.Ordinal);
        Assert.DoesNotContain(flag.Id, await Page($"/flags?state=withdrawn&orbit={orbit}"), StringComparison.Ordinal);
        Assert.DoesNotContain(flag.Id, await Page($"/flags?severity=critical&orbit={orbit}"), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Once_taken_its_page_shows_by_whom()
    {
        Assert.Contains("Nobody has it.", await Page("/flags/" + flag.Id), StringComparison.Ordinal);
        await host.Services.GetRequiredService<FlagSteps>().TakeAsync(new(flag.Id, 0), new(LifeStepKind.Take, "Heater off, known."), new Actor("someone", Roles.Operator, "127.0.0.1"), host.Services.GetRequiredService<FlagTeams>().Current());
        var page = await Page("/flags/" + flag.Id);
        Assert.Contains("someone has it.", page, StringComparison.Ordinal);
        Assert.Contains(">someone</strong> took it", page, StringComparison.Ordinal);
        Assert.Contains("Heater off, known.", page, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Its_evidence_is_plotted_in_its_window_with_the_limit_and_the_flagged_stretch()
    {
        var plot = await host.CreateClient().GetFromJsonAsync<JsonElement>(new Uri("/api/v1/plots/flags/" + flag.Id, UriKind.Relative));
        Assert.Equal(PlotTime.Of(flag.Evidence.PlotFrom), plot.GetProperty("x").GetProperty("min").GetDouble());
        Assert.Equal(5, plot.GetProperty("lines")[0].GetProperty("value").GetDouble());
        Assert.Contains(plot.GetProperty("bands").EnumerateArray(), band => band.GetProperty("kind").GetString() == "warning" && band.GetProperty("from").GetDouble() == PlotTime.Of(flag.From));
    }

    [Fact]
    public async Task A_limit_in_another_unit_is_not_drawn_on_the_axis()
    {
        // The dark rate is in e⁻/s.
        var odd = await SampleFlag.RaiseAsync(host, orbit, From, flag.Evidence with { Series = new SeriesKey("dark-rate", "F", "green") }, new FlagThing("drift", "dark-rate", null, null), "drift");
        var plot = await host.CreateClient().GetFromJsonAsync<JsonElement>(new Uri("/api/v1/plots/flags/" + odd.Id, UriKind.Relative));
        Assert.Equal(0, plot.GetProperty("lines").GetArrayLength());
    }

    [Fact]
    public async Task A_limit_of_a_channel_without_a_unit_is_drawn()
    {
        // The definition gives it no unit; its flags say "1".
        var switched = await SampleFlag.RaiseAsync(host, orbit, From, flag.Evidence with { Series = null, Channel = "HTR_IFO" }, new FlagThing("channel-limit", "HTR_IFO", null, null), "channel-limit", "1");
        var plot = await host.CreateClient().GetFromJsonAsync<JsonElement>(new Uri("/api/v1/plots/flags/" + switched.Id, UriKind.Relative));
        Assert.Equal(5, plot.GetProperty("lines")[0].GetProperty("value").GetDouble());
    }

    [Fact]
    public void The_window_of_a_flag_of_years_ends_with_the_data()
    {
        var evidence = new FlagEvidence(From.AddSeconds(-1e8), From.AddSeconds(1e8));
        Assert.Equal((From, From.AddSeconds(86_400 + 7200)), FlagPlot.Window(evidence, From, From.AddSeconds(86_400)));
        Assert.Equal((evidence.PlotFrom, evidence.PlotTo), FlagPlot.Window(evidence, null, null));
        Assert.Equal((From.AddSeconds(10), From.AddSeconds(20)), FlagPlot.Window(new FlagEvidence(From.AddSeconds(10), From.AddSeconds(20)), From, From.AddSeconds(86_400)));
    }

    [Fact]
    public async Task Its_page_shows_evidence_life_and_the_rules_advice()
    {
        var page = await Page("/flags/" + flag.Id);
        Assert.Contains(flag.Message, page, StringComparison.Ordinal);
        Assert.Contains(RuleCatalog.Of("thermal-residual").Title, page, StringComparison.Ordinal);
        Assert.Contains("Next step", page, StringComparison.Ordinal);
        Assert.Contains("flight rules", page, StringComparison.Ordinal);
    }

    private Task<string> Page(string address) => host.CreateClient().GetStringAsync(new Uri(address, UriKind.Relative));
}
