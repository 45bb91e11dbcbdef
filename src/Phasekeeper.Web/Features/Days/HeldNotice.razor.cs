using System.Globalization;
using Microsoft.AspNetCore.Components;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Coefficients.Proposals;

namespace Phasekeeper.Web.Features.Days;

/// <summary>Which of the shown orbits' winds people hold.</summary>
public sealed partial class HeldNotice
{
    /// <summary>The held orbits.</summary>
    [Parameter, EditorRequired]
    public IReadOnlyCollection<int> Held { get; set; } = [];

    /// <summary>True where they are left out of what is shown; false where they are shown and marked.</summary>
    [Parameter]
    public bool LeftOut { get; set; }

    private string Sentence => SentenceOf(Held) + (LeftOut ? " They are left out here." : "");

    /// <summary>"Held by people, not to be used: orbit 12." Empty when nothing is held.</summary>
    public static string SentenceOf(IReadOnlyCollection<int> held)
    {
        ArgumentNullException.ThrowIfNull(held);
        return held.Count == 0 ? "" : string.Create(CultureInfo.InvariantCulture, $"Held by people, not to be used: winds of orbit{(held.Count == 1 ? "" : "s")} {OrbitText.Of([.. held.Order()])}.");
    }

    /// <summary>"held with its day", "held by itself".</summary>
    public static string Words(HoldKind kind) => kind switch { HoldKind.Day => "held with its day", HoldKind.Orbit => "held by itself", HoldKind.None => "not held", _ => "held with its day and by itself" };
}
