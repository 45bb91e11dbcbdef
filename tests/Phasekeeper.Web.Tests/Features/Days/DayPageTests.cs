using AngleSharp.Dom;
using Bunit;
using Microsoft.Extensions.DependencyInjection;
using Phasekeeper.Pipeline.SignOff;
using Phasekeeper.Web.Features.Days;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Days;

/// <summary>The day's sheet at a person's browser, on a mission whose first day ends within the data.</summary>
public sealed class DayPageTests : MissionPageTests, IClassFixture<MissionHost>
{
    public DayPageTests(MissionHost host)
        : base(host) => SetRendererInfo(new("Server", true));

    private DateOnly Day => MissionHost.Span.From.UtcDate.AddDays(-1);

    private static IElement Button(IRenderedComponent<DayPage> page, string begins) => page.FindAll("button").First(b => b.TextContent.Trim().StartsWith(begins, StringComparison.Ordinal));

    [Fact]
    public async Task A_day_is_confirmed_overruled_and_changed_since_and_words_are_kept_when_it_moved_on()
    {
        var page = Render<DayPage>(p => p.Add(d => d.Date, DayWords.Date(Day)));
        page.WaitForAssertion(() => Assert.Contains("not signed off", page.Markup, StringComparison.Ordinal));
        // The first thing behind the heading that takes the focus is the button that confirms.
        Assert.StartsWith("Confirm:", page.Find("a, button, textarea, select, input, summary").TextContent.Trim(), StringComparison.Ordinal);
        await page.InvokeAsync(() => Button(page, "Confirm").Click());
        page.WaitForAssertion(() => Assert.Contains("Signed off as", page.Find(".sign-done").TextContent, StringComparison.Ordinal));
        Assert.False(Host.Stores.SignOffs.Newest(DayReader.DayNumber(Day))!.Overruled);

        // Overruling asks for a verdict, then for a reason.
        await page.InvokeAsync(() => Button(page, "Overrule").Click());
        Assert.Contains("Choose first", page.Find(".sign-refusal").TextContent, StringComparison.Ordinal);
        var other = page.FindAll(".sign-overrule option").Select(o => o.GetAttribute("value")!).Last();
        await page.InvokeAsync(() => page.Find(".sign-overrule select").Change(other));
        await page.InvokeAsync(() => Button(page, "Overrule").Click());
        page.WaitForAssertion(() => Assert.Contains("needs a reason", page.Find(".sign-refusal").TextContent, StringComparison.Ordinal));
        await page.InvokeAsync(() => page.Find(".sign-field textarea").Input("Housekeeping only."));

        // Meanwhile somebody holds an orbit: the words stay, the sign-off is refused with what changed.
        var orbit = Host.Stores.Orbits.Touching(Core.Time.Instant.StartOf(Day), Core.Time.Instant.StartOf(Day.AddDays(1))).Last(o => o.Start.UtcDate == Day).Orbit;
        await Host.Services.GetRequiredService<SignOffDesk>().HoldAsync(orbit, true, "Too hot.", new("kim", Storage.Roles.Operator, null));
        await page.InvokeAsync(() => Button(page, "Overrule").Click());
        page.WaitForAssertion(() => Assert.Contains($"Held by a person: orbit {orbit}.", page.Find(".sign-refusal").TextContent, StringComparison.Ordinal));
        Assert.Equal("Housekeeping only.", page.Find(".sign-field textarea").GetAttribute("value"));
        page.WaitForAssertion(() => Assert.Contains("Since then:", page.Markup, StringComparison.Ordinal));
        page.WaitForAssertion(() => Assert.Contains("held by itself", page.Markup, StringComparison.Ordinal));
        await Host.Services.GetRequiredService<SignOffDesk>().HoldAsync(orbit, false, "Seen.", new("kim", Storage.Roles.Operator, null));
    }

    [Fact]
    public async Task Without_a_reason_an_orbit_is_not_held_and_a_note_is_left_for_the_next_shift()
    {
        var page = Render<DayPage>(p => p.Add(d => d.Date, DayWords.Date(Day)));
        page.WaitForAssertion(() => Assert.Contains("Hold…", page.Markup, StringComparison.Ordinal));
        await page.InvokeAsync(() => Button(page, "Hold…").Click());
        await page.InvokeAsync(() => page.Find("td form").Submit());
        page.WaitForAssertion(() => Assert.Contains("The reason is missing", page.Find(".hold-refusal").TextContent, StringComparison.Ordinal));
        await page.InvokeAsync(() => page.Find(".note-field textarea").Input("Look at view F."));
        await page.InvokeAsync(() => page.Find(".note-form").Submit());
        page.WaitForAssertion(() => Assert.Contains("Look at view F.", page.Find(".notes").TextContent, StringComparison.Ordinal));
        Assert.Contains("Nobody has read it yet.", page.Find(".notes").TextContent, StringComparison.Ordinal);
    }
}
