using Microsoft.AspNetCore.Components;
using Phasekeeper.Core.Time;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.Account;

/// <summary>Tokens with their state, and a form for each to revoke it.</summary>
public sealed partial class TokenTable(TimeProvider clock)
{
    /// <summary>Tokens.</summary>
    [Parameter, EditorRequired]
    public IReadOnlyList<TokenRow> Tokens { get; set; } = [];

    /// <summary>Name of the form that revokes, which the page declares.</summary>
    [Parameter, EditorRequired]
    public string Form { get; set; } = "";

    /// <summary>Name of a person by id; null where all tokens are one person's.</summary>
    [Parameter]
    public Func<string, string>? Owner { get; set; }

    private Instant Now => Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);
}
