using System.Net;
using System.Net.Http.Json;
using System.Text.Json;
using Bunit;
using Bunit.TestDoubles;
using Microsoft.Extensions.DependencyInjection;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Annotations;
using Phasekeeper.Web.Features.People;
using Phasekeeper.Web.Features.SharedViews;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.SharedViews;

public sealed class SharedViewsTests(WebHost host) : IClassFixture<WebHost>, IAsyncDisposable
{
    private static readonly Actor Kim = new("kim", Roles.Operator, "127.0.0.1"), Ada = new("ada", Roles.Analyst, "127.0.0.1");
    private readonly ApiClient api = new(host.CreateClient());
    private readonly List<BunitContext> browsers = [];
    private readonly string name = "Lamp week " + Guid.NewGuid().ToString("N")[..6];

    private SharedViewDesk Desk => host.Services.GetRequiredService<SharedViewDesk>();

    public async ValueTask DisposeAsync()
    {
        foreach (var browser in browsers) await browser.DisposeAsync();
    }

    private async Task<BunitContext> OpenAsync(Actor who)
    {
        await host.Services.GetRequiredService<PipelineEngine>().Ready;
        var browser = new BunitContext();
        browsers.Add(browser);
        browser.Services.AddSingleton(host.Stores);
        browser.Services.AddSingleton(TimeProvider.System);
        browser.Services.AddSingleton(host.Services.GetRequiredService<PipelineEngine>());
        browser.Services.AddSingleton(host.Services.GetRequiredService<ChangeFeed>());
        browser.Services.AddSingleton(host.Services.GetRequiredService<AnnotationDesk>());
        browser.Services.AddSingleton(Desk);
        browser.Services.AddSingleton<ICurrentActor>(new Fixed(who));
        browser.AddAuthorization().SetAuthorized(who.Name).SetPolicies([.. Roles.All.Where(r => Roles.Covers(who.Role, r))]);
        browser.JSInterop.Mode = JSRuntimeMode.Loose;
        browser.SetRendererInfo(new("Server", true));
        return browser;
    }

    [Fact]
    public async Task What_one_saves_from_any_page_the_other_finds_in_the_list()
    {
        var ada = (await OpenAsync(Ada)).Render<ViewsPage>();
        ada.WaitForAssertion(() => Assert.NotEmpty(ada.FindAll("h2")));
        var kim = await OpenAsync(Kim);
        kim.Services.GetRequiredService<BunitNavigationManager>().NavigateTo("/drift?range=7d");
        var save = kim.Render<SaveView>();
        await save.Find("button").ClickAsync(new());
        await save.FindAll("input")[0].InputAsync(name);
        await save.FindAll("input")[1].InputAsync("the lamp's step");
        await save.Find("form").SubmitAsync();
        save.WaitForAssertion(() => Assert.Equal($"Saved as “{name}”.", save.Find("[role=status]").TextContent));
        Assert.Empty(save.FindAll("form"));
        ada.WaitForAssertion(() => Assert.Equal("/drift?range=7d", ada.FindAll("a").Single(a => a.TextContent == name).GetAttribute("href")));
        var entry = Assert.Single(host.Stores.Record.List(new() { What = RecordKinds.ViewSave, Subject = name }, 10).Items);
        Assert.Equal("kim", entry.Person);
    }

    [Fact]
    public async Task A_name_that_is_taken_is_told_and_what_was_written_stays()
    {
        await Desk.SaveAsync(name, null, "/drift", Ada);
        var save = (await OpenAsync(Kim)).Render<SaveView>();
        await save.Find("button").ClickAsync(new());
        await save.FindAll("input")[0].InputAsync(name.ToUpperInvariant());
        await save.Find("form").SubmitAsync();
        save.WaitForAssertion(() => Assert.Contains("expected a name that is free", save.Find("[role=alert]").TextContent, StringComparison.Ordinal));
        Assert.Equal(name.ToUpperInvariant(), save.FindAll("input")[0].GetAttribute("value"));
    }

    [Fact]
    public async Task Who_comes_second_is_told_and_nothing_is_lost()
    {
        var id = await Desk.SaveAsync(name, "first", "/drift", Ada);
        await Desk.RenameAsync(id, 0, name + " B", "second", Ada);
        var moved = await Assert.ThrowsAsync<ViewMovedException>(() => Desk.RenameAsync(id, 0, name + " C", "third", Kim));
        Assert.Contains("was changed by ada", moved.Message, StringComparison.Ordinal);
        await Assert.ThrowsAsync<ViewMovedException>(() => Desk.RetireAsync(id, 0, Kim));
        Assert.Equal((name + " B", "second", 1), host.Stores.SharedViews.List().Where(v => v.Id == id).Select(v => (v.Name, v.Note, (int)v.Revision)).Single());
        await Desk.RetireAsync(id, 1, Kim);
        await Assert.ThrowsAsync<ViewMovedException>(() => Desk.RenameAsync(id, null, name, null, Kim));
        Assert.DoesNotContain(host.Stores.SharedViews.List(), v => v.Id == id);
    }

    [Fact]
    public async Task A_view_is_renamed_and_retired_on_the_page()
    {
        await Desk.SaveAsync(name, null, "/drift", Ada);
        var page = (await OpenAsync(Kim)).Render<ViewsPage>();
        page.WaitForAssertion(() => Assert.Contains(name, page.Markup, StringComparison.Ordinal));
        await page.Find($"form[aria-label='Change the view {name}'] input").ChangeAsync(name + " again");
        await page.Find($"form[aria-label='Change the view {name}']").SubmitAsync();
        page.WaitForAssertion(() => Assert.Contains(host.Stores.SharedViews.List(), v => v.Name == name + " again"));
        page.WaitForAssertion(() => Assert.NotNull(page.Find($"form[aria-label='Change the view {name} again']")));
        await page.Find($"form[aria-label='Change the view {name} again'] button[type=button]").ClickAsync(new());
        page.WaitForAssertion(() => Assert.DoesNotContain(host.Stores.SharedViews.List(), v => v.Name.StartsWith(name, StringComparison.Ordinal)));
    }

    [Fact]
    public async Task Who_only_reads_sees_the_list_and_no_buttons()
    {
        await Desk.SaveAsync(name, null, "/drift", Ada);
        var page = (await OpenAsync(new("vic", Roles.Viewer, "127.0.0.1"))).Render<ViewsPage>();
        page.WaitForAssertion(() => Assert.Contains(name, page.Markup, StringComparison.Ordinal));
        Assert.Empty(page.FindAll("button"));
    }

    [Fact]
    public async Task Scripts_save_list_and_retire_them()
    {
        using var answer = await api.Client.PostAsync(ApiClient.Address("views"), JsonContent.Create(new { name, address = "/orbit/12?view=F" }));
        Assert.True(answer.IsSuccessStatusCode, await answer.Content.ReadAsStringAsync());
        var id = (await answer.Content.ReadFromJsonAsync<JsonElement>()).GetProperty("id").GetInt64();
        Assert.Contains(await api.Json("views"), v => v.GetProperty("name").GetString() == name && v.GetProperty("address").GetString() == "/orbit/12?view=F");
        Assert.Contains("path and query of a page", await api.Refused("views", HttpStatusCode.BadRequest, HttpMethod.Post, JsonContent.Create(new { name = "x", address = "https://evil.example/" })), StringComparison.Ordinal);
        Assert.Contains("revision 7", await api.Refused($"views/{id}", HttpStatusCode.Conflict, HttpMethod.Post, JsonContent.Create(new { name, revision = 7 })), StringComparison.Ordinal);
        await api.Refused("views/99999", HttpStatusCode.NotFound, HttpMethod.Post, JsonContent.Create(new { name }));
        using var retired = await api.Client.PostAsync(ApiClient.Address($"views/{id}/retire?revision=0"), null);
        Assert.Equal(HttpStatusCode.NoContent, retired.StatusCode);
    }

    private sealed class Fixed(Actor who) : ICurrentActor
    {
        public Task<Actor> GetAsync() => Task.FromResult(who);
    }
}
