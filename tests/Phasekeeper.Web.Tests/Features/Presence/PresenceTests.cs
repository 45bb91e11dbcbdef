using Bunit;
using Bunit.TestDoubles;
using Microsoft.Extensions.DependencyInjection;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Presence;

namespace Phasekeeper.Web.Tests.Features.Presence;

/// <summary>Circuits beside one another: each has its own services and shares the one presence, as in the host.</summary>
public sealed class PresenceTests : IAsyncDisposable
{
    private readonly PagePresence presence = new(TimeProvider.System);
    private readonly List<BunitContext> circuits = [];

    public async ValueTask DisposeAsync()
    {
        foreach (var circuit in circuits) await circuit.DisposeAsync();
    }

    private (BunitContext Circuit, IRenderedComponent<AlsoHere> Head) Open(string name, string page)
    {
        var circuit = new BunitContext();
        circuits.Add(circuit);
        circuit.Services.AddSingleton(presence);
        circuit.Services.AddScoped<CircuitPresence>();
        circuit.AddAuthorization().SetAuthorized(name).SetPolicies(Roles.Viewer);
        circuit.Services.GetRequiredService<BunitNavigationManager>().NavigateTo(page);
        return (circuit, circuit.Render<AlsoHere>());
    }

    private static string Text(IRenderedComponent<AlsoHere> head) => string.Join(' ', head.Find(".also-here").TextContent.Split(default(char[]), StringSplitOptions.RemoveEmptyEntries));

    private static void Sees(IRenderedComponent<AlsoHere> head, params string[] names) => head.WaitForAssertion(() =>
        Assert.Equal(names, head.FindAll(".also-here > span[title]").Select(s => s.FirstChild!.TextContent.Trim())), TimeSpan.FromSeconds(2));

    [Fact]
    public async Task Two_at_one_page_see_each_other_within_two_seconds_until_one_leaves()
    {
        var (_, ada) = Open("ada", "/drift?range=7d");
        Sees(ada);
        var (circuit, kim) = Open("kim", "/drift?range=30d");
        Sees(ada, "kim");
        Sees(kim, "ada");
        Assert.Matches(@"^Also here: kim since \d\d:\d\d UTC$", Text(ada));
        circuits.Remove(circuit);
        await circuit.DisposeAsync();
        Sees(ada);
    }

    [Fact]
    public void Who_goes_to_another_page_is_seen_there()
    {
        var (_, ada) = Open("ada", "/drift");
        var (circuit, kim) = Open("kim", "/winds");
        Sees(ada);
        circuit.Services.GetRequiredService<BunitNavigationManager>().NavigateTo("/drift");
        Sees(ada, "kim");
        Sees(kim, "ada");
        circuit.Services.GetRequiredService<BunitNavigationManager>().NavigateTo("/flags");
        Sees(ada);
        Sees(kim);
    }

    [Fact]
    public void A_second_window_is_nobody_else_and_a_person_is_named_once()
    {
        var (_, first) = Open("ada", "/drift");
        Open("ada", "/drift");
        Sees(first);
        Open("kim", "/drift");
        Open("kim", "/drift");
        Sees(first, "kim");
    }

    [Fact]
    public async Task A_cut_line_leaves_at_once_and_comes_back_with_it()
    {
        var (_, ada) = Open("ada", "/drift");
        var (circuit, _) = Open("kim", "/drift");
        Sees(ada, "kim");
        var own = circuit.Services.GetRequiredService<CircuitPresence>();
        await own.OnConnectionDownAsync(null!, default);
        Sees(ada);
        await own.OnConnectionUpAsync(null!, default);
        Sees(ada, "kim");
        await own.OnCircuitClosedAsync(null!, default);
        Sees(ada);
    }

    [Fact]
    public void Many_are_counted()
    {
        var (_, ada) = Open("ada", "/drift");
        for (var i = 0; i < 7; i++) presence.Enter(new object(), $"p{i}", "/drift");
        ada.WaitForAssertion(() => Assert.EndsWith("and 2 more", Text(ada), StringComparison.Ordinal));
    }
}
