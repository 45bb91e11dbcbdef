using Microsoft.AspNetCore.Components;
using Phasekeeper.Pipeline.Assessment;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.People;

namespace Phasekeeper.Web.Features.Flags;

/// <summary>Flags that a flag is linked with.</summary>
public sealed partial class FlagLinks(FlagTalk talk, ICurrentActor actor)
{
    private string? wanted;

    /// <summary>Id of the flag.</summary>
    [Parameter, EditorRequired]
    public string Flag { get; set; } = "";

    /// <summary>The others.</summary>
    [Parameter, EditorRequired]
    public IReadOnlyList<FlagRow> Linked { get; set; } = [];

    private Task LinkAsync() => DoAsync(async () =>
    {
        await talk.LinkAsync(Flag, wanted, await actor.GetAsync(Roles.Operator));
        wanted = null;
    });

    private Task UnlinkAsync(string other) => DoAsync(async () => await talk.UnlinkAsync(Flag, other, await actor.GetAsync(Roles.Operator)));
}
