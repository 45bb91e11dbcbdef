using System.Net.Http.Json;
using System.Text.Json;
using Bunit;
using Microsoft.Extensions.DependencyInjection;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Web.Features.Orbit;
using Phasekeeper.Web.Shared.Plots;

namespace Phasekeeper.Web.Tests.Support;

/// <summary>Renders pages on a host's mission, and reads its plots.</summary>
public static class PagesHostExtensions
{
    /// <summary>Gives a rendering context what pages ask for.</summary>
    public static void Use(this BunitContext context, PagesHost host)
    {
        // Pages load off the renderer's thread; a busy machine takes its time.
        BunitContext.DefaultWaitTimeout = TimeSpan.FromSeconds(30);
        context.Services.AddSingleton(host.Stores);
        context.Services.AddSingleton(host.Engine);
        context.Services.AddSingleton(host.Services.GetRequiredService<ChangeFeed>());
        context.Services.AddSingleton(host.Services.GetRequiredService<OrbitCache>());
        context.Services.AddSingleton(TimeProvider.System);
        var module = context.JSInterop.SetupModule(PlotScripts.Module);
        module.SetupVoid("show", _ => true).SetVoidResult();
        module.SetupVoid("dispose", _ => true).SetVoidResult();
    }

    /// <summary>A plot as the browser gets it.</summary>
    public static async Task<JsonElement> PlotAsync(this PagesHost host, string path)
    {
        using var client = host.CreateClient();
        return await client.GetFromJsonAsync<JsonElement>(new Uri("/api/v1/plots/" + path, UriKind.Relative));
    }

    /// <summary>A trace by its name.</summary>
    public static JsonElement Trace(this JsonElement plot, string name) => plot.GetProperty("traces").EnumerateArray().First(t => t.GetProperty("name").GetString() == name);

    /// <summary>Numbers of a trace's vector that are not missing.</summary>
    public static double[] Numbers(this JsonElement trace, string vector) => [.. trace.GetProperty(vector).EnumerateArray().Where(v => v.ValueKind == JsonValueKind.Number).Select(v => v.GetDouble())];
}
