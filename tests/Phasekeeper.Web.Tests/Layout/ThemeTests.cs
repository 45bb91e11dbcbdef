using System.Globalization;
using System.Text.RegularExpressions;
using MudBlazor;
using MudBlazor.Utilities;
using Phasekeeper.Web.Layout;

namespace Phasekeeper.Web.Tests.Layout;

/// <summary>The colours: one meaning in both places where they are written, and readable (WCAG 2.2, 1.4.3: 4.5 to 1).</summary>
public sealed class ThemeTests
{
    private const double LeastContrast = 4.5;

    private static readonly string[] States = ["good", "notice", "warning", "critical", "provisional", "held", "incomplete"];
    private static readonly string Css = File.ReadAllText(Path.Combine(WebRoot(), "css", "tokens.css"));

    public static TheoryData<bool, string, string> Pairs
    {
        get
        {
            var pairs = new TheoryData<bool, string, string>();
            foreach (var dark in new[] { false, true })
            {
                foreach (var ground in new[] { "ground", "surface", "sunken", "hover" })
                    foreach (var ink in new[] { "ink", "ink-2", "accent" }) pairs.Add(dark, ink, ground);
                foreach (var state in States)
                {
                    pairs.Add(dark, state, state + "-soft");
                    pairs.Add(dark, state, "surface");
                    pairs.Add(dark, state, "ground");
                }
                pairs.Add(dark, "accent-ink", "accent");
                pairs.Add(dark, "accent", "accent-soft");
            }
            return pairs;
        }
    }

    [Theory]
    [MemberData(nameof(Pairs))]
    public void Text_can_be_read_on_its_ground(bool dark, string ink, string ground)
    {
        var contrast = Contrast(Token(dark, ink), Token(dark, ground));
        Assert.True(contrast >= LeastContrast, string.Create(CultureInfo.InvariantCulture, $"{ink} on {ground}: {contrast:0.00} to 1"));
    }

    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public void MudBlazor_has_the_same_colours_as_our_own_components(bool dark)
    {
        Palette palette = dark ? PhasekeeperTheme.Theme.PaletteDark : PhasekeeperTheme.Theme.PaletteLight;
        (string Token, MudColor Mud)[] pairs =
        [
            ("accent", palette.Primary), ("notice", palette.Info), ("good", palette.Success), ("warning", palette.Warning), ("critical", palette.Error),
            ("provisional", palette.Tertiary), ("ground", palette.Background), ("surface", palette.Surface), ("ink", palette.TextPrimary), ("ink-2", palette.TextSecondary), ("line", palette.LinesDefault),
        ];
        Assert.All(pairs, pair => Assert.Equal(Token(dark, pair.Token), pair.Mud.Value[..7]));
    }

    private static string Token(bool dark, string name)
    {
        var blocks = Css.Split("html[data-theme=\"dark\"]");
        var match = Regex.Match(blocks[dark ? 1 : 0], $"--pk-{name}: (#[0-9a-f]{{6}});");
        Assert.True(match.Success, $"tokens.css has no colour --pk-{name} for the {(dark ? "dark" : "light")} theme.");
        return match.Groups[1].Value;
    }

    // WCAG 2.2, definitions of "contrast ratio" and "relative luminance".
    private static double Contrast(string a, string b)
    {
        var (la, lb) = (Luminance(a), Luminance(b));
        return (Math.Max(la, lb) + 0.05) / (Math.Min(la, lb) + 0.05);
    }

    private static double Luminance(string colour)
    {
        double Channel(int start)
        {
            var value = int.Parse(colour.AsSpan(start, 2), NumberStyles.HexNumber, CultureInfo.InvariantCulture) / 255.0;
            return value <= 0.04045 ? value / 12.92 : Math.Pow((value + 0.055) / 1.055, 2.4);
        }
        return 0.2126 * Channel(1) + 0.7152 * Channel(3) + 0.0722 * Channel(5);
    }

    private static string WebRoot()
    {
        var folder = new DirectoryInfo(AppContext.BaseDirectory);
        while (folder is not null && !File.Exists(Path.Combine(folder.FullName, "Monitor.sln"))) folder = folder.Parent;
        return Path.Combine(folder!.FullName, "src", "Phasekeeper.Web", "wwwroot");
    }
}
