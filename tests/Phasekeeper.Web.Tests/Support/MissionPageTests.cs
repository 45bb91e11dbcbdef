using Bunit;
using Microsoft.AspNetCore.Components;
using Microsoft.Extensions.DependencyInjection;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Pipeline.SignOff;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api.Access;
using Phasekeeper.Web.Features.Orbit;
using Phasekeeper.Web.Features.People;
using Phasekeeper.Web.Features.WindCorrections;
using Phasekeeper.Web.Features.Winds;
using Phasekeeper.Web.Shared.Plots;

namespace Phasekeeper.Web.Tests.Support;

/// <summary>Tests that render pages on a host's mission: everything that pages ask for is there, and the module that draws plots is a stand-in.</summary>
public abstract class MissionPageTests : BunitContext
{
    /// <summary>Makes the rendering context.</summary>
    protected MissionPageTests(MissionHost host)
    {
        Host = host;
        // Pages load off the renderer's thread; a busy machine takes its time.
        Services.AddSingleton(host.Stores);
        Services.AddSingleton(host.Engine);
        Services.AddSingleton(TimeProvider.System);
        Share<ChangeFeed>();
        Share<OrbitCache>();
        Share<WindCache>();
        Share<SignOffDesk>();
        Share<CorrectionService>();
        this.AddAuthorization().SetAuthorized(FixedActor.Someone.Name).SetPolicies([.. Policies.All]);
        Services.AddSingleton<ICurrentActor>(new FixedActor());
        var module = JSInterop.SetupModule(PlotScripts.Module);
        module.SetupVoid("show", _ => true).SetVoidResult();
        module.SetupVoid("dispose", _ => true).SetVoidResult();
    }

    /// <summary>The host.</summary>
    protected MissionHost Host { get; }

    /// <summary>Where the page is.</summary>
    protected NavigationManager Navigation => Services.GetRequiredService<NavigationManager>();

    /// <summary>Somebody who may do everything.</summary>
    private sealed class FixedActor : ICurrentActor
    {
        public static readonly Actor Someone = new("someone", Roles.CalibrationLead, "127.0.0.1");

        public Task<Actor> GetAsync() => Task.FromResult(Someone);
    }

    /// <summary>Lets pages use a service of the host.</summary>
    protected T Share<T>()
        where T : class
    {
        var service = Host.Services.GetRequiredService<T>();
        Services.AddSingleton(service);
        return service;
    }
}
