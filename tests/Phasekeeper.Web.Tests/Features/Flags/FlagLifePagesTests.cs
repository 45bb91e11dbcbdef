using AngleSharp.Dom;
using Bunit;
using Bunit.TestDoubles;
using Microsoft.Extensions.DependencyInjection;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Flags.Life;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Assessment;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api.Access;
using Phasekeeper.Web.Features.Flags;
using Phasekeeper.Web.Features.People;
using Phasekeeper.Web.Shared.Plots;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Flags;

/// <summary>Two people at two browsers: what one does, the other sees, and nobody's words are lost.</summary>
public sealed class FlagLifePagesTests(WebHost host) : IClassFixture<WebHost>, IAsyncLifetime
{
    private static readonly Actor Kim = new(DemoAccess.NameOf(Roles.Operator), Roles.Operator, "127.0.0.1"), Ada = new(DemoAccess.NameOf(Roles.Analyst), Roles.Analyst, "127.0.0.1"), Vic = new(DemoAccess.NameOf(Roles.Viewer), Roles.Viewer, "127.0.0.1");
    private static int orbits = 7000;
    private readonly int orbit = Interlocked.Add(ref orbits, 100);
    private readonly List<Browser> browsers = [];
    private Flag flag = default!;

    private Instant From(int number) => Instant.FromUtc(2033, 1, 1).AddSeconds(5760.0 * number);

    public async Task InitializeAsync()
    {
        await host.Services.GetRequiredService<PipelineEngine>().Ready;
        flag = await RaiseAsync(orbit);
    }

    public async Task DisposeAsync()
    {
        foreach (var browser in browsers) await browser.DisposeAsync();
    }

    private Task<Flag> RaiseAsync(int at, FlagThing? about = null, string kind = "thermal-residual") => SampleFlag.RaiseAsync(host, at, From(at), new FlagEvidence(From(at), From(at + 1)), about, kind);

    private Browser Open(Actor who)
    {
        var browser = new Browser(host, who);
        browsers.Add(browser);
        return browser;
    }

    private IRenderedComponent<FlagPage> Page(Actor who) => Open(who).Render<FlagPage>(p => p.Add(f => f.Id, flag.Id));

    private FlagTeam Team => host.Services.GetRequiredService<FlagTeams>().Current();

    private Task<FlagRow> StepAsync(string id, LifeStep step, Actor who) => host.Services.GetRequiredService<FlagSteps>().TakeAsync(new(id, null), step, who, Team);

    private static Task Click(IRenderedComponent<FlagPage> page, string text) => page.InvokeAsync(() => Button(page, text).Click());

    private static IElement Button<T>(IRenderedComponent<T> page, string text)
        where T : Microsoft.AspNetCore.Components.IComponent => page.FindAll("button").First(b => b.TextContent.Trim() == text);

    [Fact]
    public async Task A_flag_is_taken_explained_and_settled_on_its_page()
    {
        var page = Page(Kim);
        await Click(page, "Take");
        page.WaitForAssertion(() => Assert.Contains("You have it.", page.Markup, StringComparison.Ordinal));
        await Click(page, "Explain");
        page.WaitForAssertion(() => Assert.Contains("An explanation needs a cause", page.Find("[role=alert]").TextContent, StringComparison.Ordinal));
        await page.InvokeAsync(() => page.FindAll("select")[0].Change("instrument"));
        await page.InvokeAsync(() => page.FindAll("textarea")[0].Input("The lamp's heater is off."));
        await Click(page, "Explain");
        page.WaitForAssertion(() => Assert.Equal("explained", host.Stores.Flags.Get(flag.Id)!.State));
        page.WaitForAssertion(() => Assert.Contains("explained it (instrument)", page.Find(".life").TextContent, StringComparison.Ordinal));
        await Click(page, "Settle");
        page.WaitForAssertion(() => Assert.Contains("Settled;", page.Markup, StringComparison.Ordinal));
        Assert.Equal(["raise", "take", "explain", "settle"], host.Stores.FlagLives.Steps(flag.Id).Select(s => s.Step));
        Assert.DoesNotContain(page.FindAll("button"), b => b.TextContent.Trim() is "Take" or "Settle");
    }

    [Fact]
    public async Task Who_comes_second_is_told_who_did_what_keeps_their_words_and_can_send_them_again()
    {
        var page = Page(Ada);
        await page.InvokeAsync(() => page.FindAll("textarea")[0].Input("It is the lamp, I am on it."));
        await StepAsync(flag.Id, new(LifeStepKind.Take, "I look"), Kim);
        page.WaitForAssertion(() => Assert.Contains("moved on since you began to write", page.Markup, StringComparison.Ordinal));
        await page.InvokeAsync(() => page.FindAll("button").First(b => b.TextContent.StartsWith("Take from", StringComparison.Ordinal)).Click());
        page.WaitForAssertion(() => Assert.Contains($"{Kim.Name} took it at", page.Find("[role=alert]").TextContent, StringComparison.Ordinal));
        Assert.Equal(Kim.Name, host.Stores.Flags.Get(flag.Id)!.Holder);
        Assert.Equal("It is the lamp, I am on it.", page.FindAll("textarea")[0].GetAttribute("value"));
        await page.InvokeAsync(() => page.FindAll("button").First(b => b.TextContent.StartsWith("Take from", StringComparison.Ordinal)).Click());
        page.WaitForAssertion(() => Assert.Equal(Ada.Name, host.Stores.Flags.Get(flag.Id)!.Holder));
        Assert.Equal("It is the lamp, I am on it.", host.Stores.FlagLives.Steps(flag.Id)[^1].Note);
    }

    [Fact]
    public async Task What_one_does_another_sees_without_asking()
    {
        var list = Open(Ada).Render<FlagsPage>();
        var page = Page(Ada);
        for (var i = 1; i <= 3; i++)
        {
            await StepAsync(flag.Id, i % 2 == 1 ? new(LifeStepKind.Take) : new(LifeStepKind.Release), Kim);
            var raised = await RaiseAsync(orbit + 20 * i);
            host.Services.GetRequiredService<ChangeFeed>().Publish(ChangeKind.Flag);
            page.WaitForAssertion(() => Assert.Contains(i % 2 == 1 ? $"{Kim.Name} has it." : "Nobody has it.", page.Markup, StringComparison.Ordinal));
            list.WaitForAssertion(() => Assert.Contains(raised.Id, list.Markup, StringComparison.Ordinal));
        }
    }

    [Fact]
    public async Task A_viewer_reads_and_finds_nothing_to_press()
    {
        var page = Page(Vic);
        Assert.Contains("Steps and comments ask for the role operator", page.Markup, StringComparison.Ordinal);
        Assert.Empty(page.FindAll("textarea"));
        Assert.DoesNotContain(page.FindAll("button"), b => b.TextContent.Trim() is "Take" or "Comment" or "Link" or "Attach as seen");
        var list = Open(Vic).Render<FlagsPage>();
        list.WaitForAssertion(() => Assert.Contains(flag.Id, list.Markup, StringComparison.Ordinal));
        Assert.Empty(list.FindAll("input[type=checkbox]"));
    }

    [Fact]
    public async Task An_unknown_mention_is_told_at_once_and_a_known_one_is_listed_where_the_person_looks()
    {
        var page = Page(Kim);
        var field = page.FindAll("textarea")[1];
        await page.InvokeAsync(() => field.Change("please look, @zoe"));
        page.WaitForAssertion(() => Assert.Contains("nobody called 'zoe'", page.Find("[role=alert]").TextContent, StringComparison.Ordinal));
        await page.InvokeAsync(() => page.FindAll("textarea")[1].Change($"please look, @{Ada.Name}"));
        await Click(page, "Comment");
        page.WaitForAssertion(() => Assert.Contains("please look", page.Find(".life").TextContent, StringComparison.Ordinal));
        var browser = Open(Ada);
        browser.Services.GetRequiredService<Microsoft.AspNetCore.Components.NavigationManager>().NavigateTo("/flags?whose=mentions");
        var list = browser.Render<FlagsPage>();
        list.WaitForAssertion(() => Assert.Contains("please look", list.Find(".flag-mentions").TextContent, StringComparison.Ordinal));
        Assert.Contains(flag.Id, list.Markup, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Flags_of_one_cause_stand_together_and_are_settled_together()
    {
        var heater = await RaiseAsync(orbit, new FlagThing("profile-change", "HTR_IFO_I", null, null), "profile-change");
        var browser = Open(Kim);
        browser.Services.GetRequiredService<Microsoft.AspNetCore.Components.NavigationManager>().NavigateTo($"/flags?orbit={orbit}");
        var temperature = await RaiseAsync(orbit, new FlagThing("temperature-rate", "IFO_T1", null, null), "channel-rate");
        var list = browser.Render<FlagsPage>();
        var group = Assert.Single(list.FindAll(".flag-group"));
        Assert.Equal([heater.Id, temperature.Id, flag.Id], group.QuerySelectorAll(".flag-head a").Select(a => a.GetAttribute("href")!["/flags/".Length..]));
        Assert.Contains("heater or cooler", group.TextContent, StringComparison.Ordinal);
        await list.InvokeAsync(() => Button(list, "Select all 3").Click());
        Assert.Contains("3 flags selected", list.Markup, StringComparison.Ordinal);
        // Somebody takes one of them meanwhile.
        await StepAsync(temperature.Id, new(LifeStepKind.Take), Ada);
        await list.InvokeAsync(() => list.Find(".bulk select").Change("instrument"));
        await list.InvokeAsync(() => list.Find(".bulk textarea").Change("heater stuck"));
        await list.InvokeAsync(() => Button(list, "Settle").Click());
        list.WaitForAssertion(() => Assert.Contains("2 flags settled.", list.Markup, StringComparison.Ordinal));
        Assert.Contains($"{Ada.Name} took it", list.Find(".bulk-refused").TextContent, StringComparison.Ordinal);
        Assert.Equal(["settled", "taken", "settled"], new[] { heater, temperature, flag }.Select(f => host.Stores.Flags.Get(f.Id)!.State));
        // What was refused is still selected with its words, and goes through when it is sent again.
        Assert.Equal("heater stuck", list.Find(".bulk textarea").GetAttribute("value"));
        await list.InvokeAsync(() => Button(list, "Settle").Click());
        list.WaitForAssertion(() => Assert.Equal("settled", host.Stores.Flags.Get(temperature.Id)!.State));
    }

    [Fact]
    public async Task Its_page_shows_its_group_linked_flags_and_plots_as_seen()
    {
        var heater = await RaiseAsync(orbit, new FlagThing("profile-change", "HTR_IFO_I", null, null), "profile-change");
        var other = await RaiseAsync(orbit + 40);
        var page = Page(Kim);
        Assert.Equal([heater.Id, flag.Id], page.FindAll(".group-lines .flag-head a").Select(a => a.GetAttribute("href")!["/flags/".Length..]));
        await page.InvokeAsync(() => page.Find(".link-form input").Change(other.Id));
        await Click(page, "Link");
        page.WaitForAssertion(() => Assert.Contains(other.Id, page.Find(".links").InnerHtml, StringComparison.Ordinal));
        Assert.Equal($"/api/v1/flags/{flag.Id}/plots", page.Find("[data-plot=attach]").GetAttribute("data-attach-to"));
        await host.Services.GetRequiredService<FlagTalk>().AttachAsync(flag.Id, "Evidence", "/api/v1/plots/x", "{}", null, Kim);
        page.WaitForAssertion(() => Assert.Contains("Show “Evidence” as seen", page.Find(".life").TextContent, StringComparison.Ordinal));
        await page.InvokeAsync(() => page.Find(".life button").Click());
        Assert.Contains($"/api/v1/plots/flags/{flag.Id}/seen/", page.Find(".life figure").GetAttribute("data-url"), StringComparison.Ordinal);
        Assert.Equal("true", page.Find(".life button").GetAttribute("aria-expanded"));
    }

    [Fact]
    public async Task The_list_is_narrowed_to_what_is_mine_and_to_a_cause()
    {
        var other = await RaiseAsync(orbit + 40);
        await StepAsync(flag.Id, new(LifeStepKind.Explain, "why", "environment"), Kim);
        async Task<(bool, bool)> Shown(Actor who, string query)
        {
            var browser = Open(who);
            browser.Services.GetRequiredService<Microsoft.AspNetCore.Components.NavigationManager>().NavigateTo("/flags?" + query);
            var list = browser.Render<FlagsPage>();
            await Task.Yield();
            return (list.Markup.Contains(flag.Id, StringComparison.Ordinal), list.Markup.Contains(other.Id, StringComparison.Ordinal));
        }
        Assert.Equal((true, false), await Shown(Kim, "whose=mine"));
        Assert.Equal((false, false), await Shown(Ada, "whose=mine"));
        Assert.Equal((true, false), await Shown(Ada, "cause=environment"));
        Assert.Equal((false, true), await Shown(Ada, $"state=raised&orbit={orbit + 40}"));
    }

    private sealed class Browser : BunitContext
    {
        public Browser(WebHost host, Actor who)
        {
            Services.AddSingleton(host.Stores);
            Services.AddSingleton(TimeProvider.System);
            Services.AddSingleton(host.Services.GetRequiredService<PipelineEngine>());
            Services.AddSingleton(host.Services.GetRequiredService<ChangeFeed>());
            Services.AddSingleton(host.Services.GetRequiredService<FlagSteps>());
            Services.AddSingleton(host.Services.GetRequiredService<FlagTalk>());
            Services.AddSingleton(host.Services.GetRequiredService<FlagTeams>());
            Services.AddSingleton<ICurrentActor>(new Fixed(who));
            this.AddAuthorization().SetAuthorized(who.Name).SetPolicies([.. Policies.All.Where(p => Roles.Covers(who.Role, p))]);
            var module = JSInterop.SetupModule(PlotScripts.Module);
            module.SetupVoid("show", _ => true).SetVoidResult();
            module.SetupVoid("dispose", _ => true).SetVoidResult();
            SetRendererInfo(new("Server", true));
        }

        private sealed class Fixed(Actor who) : ICurrentActor
        {
            public Task<Actor> GetAsync() => Task.FromResult(who);
        }
    }
}
