using Microsoft.AspNetCore.Components;
using Phasekeeper.Core.Flags.Life;
using Phasekeeper.Pipeline.Assessment;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.People;

namespace Phasekeeper.Web.Features.Flags;

/// <summary>The form of a comment on a flag.</summary>
public sealed partial class FlagCommentForm(FlagTalk talk, FlagTeams teams, ICurrentActor actor)
{
    private string? text;

    /// <summary>Id of the flag.</summary>
    [Parameter, EditorRequired]
    public string Flag { get; set; } = "";

    private FlagTeam Team { get; set; } = new([], []);

    /// <inheritdoc/>
    protected override void OnParametersSet() => Team = teams.Current();

    // Told when the field is left, not only when the comment is sent.
    private void Check()
    {
        var unknown = Mentions.In(text ?? "", [.. Team.People.Select(p => p.Name)]).Unknown;
        Refusal = unknown.Count == 0 ? null : $"There is nobody called {string.Join(" or ", unknown.Select(u => $"'{u}'"))} here, so nobody would see the mention.";
    }

    private Task SendAsync() => DoAsync(async () =>
    {
        await talk.CommentAsync(Flag, text, await actor.GetAsync(Roles.Operator), teams.Current());
        text = null;
    });
}
