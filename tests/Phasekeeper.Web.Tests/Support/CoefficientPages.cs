using System.Text.Json.Nodes;
using Bunit;
using Bunit.TestDoubles;
using Microsoft.AspNetCore.Components;
using Microsoft.Extensions.DependencyInjection;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Pipeline.Coefficients;
using Phasekeeper.Pipeline.Coefficients.Evidence;
using Phasekeeper.Pipeline.Coefficients.Fits;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api.Access;
using Phasekeeper.Web.Features.People;
using Phasekeeper.Web.Shared.Plots;

namespace Phasekeeper.Web.Tests.Support;

/// <summary>Pages about coefficients on a mission of one's own without data, as a person of one's choice: what they decide disturbs nobody else.</summary>
public abstract class CoefficientPages : BunitContext, IAsyncLifetime
{
    /// <summary>A person who proposes, and one who decides.</summary>
    protected static readonly Actor Ada = new("ada", Roles.Analyst, "127.0.0.1"), Lea = new("lea", Roles.CalibrationLead, "127.0.0.1");

    private readonly SettableActor actor = new();
    private readonly BunitAuthorizationContext authorization;

    /// <summary>Makes the rendering context.</summary>
    protected CoefficientPages(WebHost host)
    {
        Host = host;
        Services.AddSingleton(host.Stores);
        Services.AddSingleton(TimeProvider.System);
        Share<PipelineEngine>();
        Share<ChangeFeed>();
        Share<CoefficientDesk>();
        Share<ReprocessingControl>();
        Share<MissionFolder>();
        Share<EvidenceBoard>();
        Share<EvidenceDesk>();
        Share<FitDesk>();
        Services.AddSingleton<ICurrentActor>(actor);
        authorization = this.AddAuthorization();
        Be(Lea);
        var module = JSInterop.SetupModule(PlotScripts.Module);
        module.SetupVoid("show", _ => true).SetVoidResult();
        module.SetupVoid("dispose", _ => true).SetVoidResult();
        SetRendererInfo(new("Server", true));
    }

    /// <summary>The host.</summary>
    protected WebHost Host { get; }

    /// <summary>Proposals and decisions.</summary>
    protected CoefficientDesk Desk => Host.Services.GetRequiredService<CoefficientDesk>();

    /// <summary>Where the page is.</summary>
    protected NavigationManager Navigation => Services.GetRequiredService<NavigationManager>();

    /// <inheritdoc/>
    public Task InitializeAsync() => Host.Services.GetRequiredService<PipelineEngine>().Ready;

    Task IAsyncLifetime.DisposeAsync() => DisposeAsync().AsTask();

    /// <summary>Who looks at the page from now on.</summary>
    protected void Be(Actor who)
    {
        actor.Who = who;
        // Policies first: naming the person is what pages hear of.
        authorization.SetPolicies([.. Policies.All.Where(p => Roles.Covers(who.Role, p))]);
        authorization.SetAuthorized(who.Name);
    }

    /// <summary>Who presses the buttons, whoever the page was shown to: as where a form is forged.</summary>
    protected void ActAs(Actor who) => actor.Who = who;

    /// <summary>Proposes the first set with another lag of view F, green; gives its number.</summary>
    protected Task<long> ProposeAsync(string name, double lagS, Actor? by = null, string validFrom = "2031-06-01T00:00:00Z") => Desk.ProposeAsync(ProposalReader.Read(
        new JsonObject
        {
            ["base"] = 1,
            ["name"] = name,
            ["validFrom"] = validFrom,
            ["reason"] = $"why {name}",
            ["changes"] = new JsonArray(new JsonObject { ["number"] = "optics.thermal.lagS", ["view"] = "F", ["line"] = "green", ["value"] = lagS }),
        }.ToJsonString(), null, Host.Services.GetRequiredService<MissionFolder>(), Host.Stores.Coefficients), by ?? Ada);

    /// <summary>Name of a set.</summary>
    protected string NameOf(long id) => Host.Stores.Coefficients.Get(id)!.Name;

    /// <summary>Lets pages use a service of the host.</summary>
    protected void Share<T>()
        where T : class => Services.AddSingleton(Host.Services.GetRequiredService<T>());

    private sealed class SettableActor : ICurrentActor
    {
        public Actor Who { get; set; } = Lea;

        public Task<Actor> GetAsync() => Task.FromResult(Who);
    }
}
