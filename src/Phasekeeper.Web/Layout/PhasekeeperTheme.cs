using MudBlazor;

namespace Phasekeeper.Web.Layout;

/// <summary>
/// MudBlazor's palette and type in our colours. The same values are the custom properties of wwwroot/css/tokens.css, which is
/// what our own components use; a test compares the two.
/// </summary>
public static class PhasekeeperTheme
{
    private static readonly string[] SystemFonts =
        ["system-ui", "-apple-system", "Segoe UI", "Roboto", "Noto Sans", "Liberation Sans", "sans-serif"];

    /// <summary>The theme.</summary>
    public static readonly MudTheme Theme = new()
    {
        PaletteLight = new PaletteLight
        {
            Primary = "#1b5a72",
            PrimaryContrastText = "#ffffff",
            Secondary = "#56635f",
            SecondaryContrastText = "#ffffff",
            Tertiary = "#6a4a91",
            Info = "#2b57a5",
            Success = "#1d693a",
            Warning = "#855000",
            Error = "#ad231b",
            Dark = "#1b2422",
            Background = "#f4f6f5",
            BackgroundGray = "#ebeeec",
            Surface = "#ffffff",
            TextPrimary = "#1b2422",
            TextSecondary = "#53605c",
            ActionDefault = "#53605c",
            AppbarBackground = "#ffffff",
            AppbarText = "#1b2422",
            DrawerBackground = "#ffffff",
            DrawerText = "#1b2422",
            LinesDefault = "#d7ddda",
            LinesInputs = "#87938f",
            TableLines = "#e4e8e6",
            Divider = "#d7ddda",
            DividerLight = "#e4e8e6",
        },
        PaletteDark = new PaletteDark
        {
            Primary = "#7cc3db",
            PrimaryContrastText = "#0d1a20",
            Secondary = "#a5b1ad",
            SecondaryContrastText = "#11171a",
            Tertiary = "#c7aee8",
            Info = "#9dbcf2",
            Success = "#7fd09a",
            Warning = "#f0bd62",
            Error = "#ff9a8f",
            InfoContrastText = "#11171a",
            SuccessContrastText = "#11171a",
            WarningContrastText = "#11171a",
            ErrorContrastText = "#11171a",
            TertiaryContrastText = "#11171a",
            Dark = "#e6ebe9",
            DarkContrastText = "#11171a",
            Background = "#11171a",
            BackgroundGray = "#0c1113",
            Surface = "#192024",
            TextPrimary = "#e6ebe9",
            TextSecondary = "#a5b1ad",
            ActionDefault = "#a5b1ad",
            AppbarBackground = "#192024",
            AppbarText = "#e6ebe9",
            DrawerBackground = "#192024",
            DrawerText = "#e6ebe9",
            LinesDefault = "#313c42",
            LinesInputs = "#6d7b80",
            TableLines = "#283238",
            Divider = "#313c42",
            DividerLight = "#283238",
        },
        LayoutProperties = new LayoutProperties { DefaultBorderRadius = "6px", AppbarHeight = "52px" },
        Typography = new Typography
        {
            Default = new DefaultTypography { FontFamily = SystemFonts, FontSize = "0.875rem", LineHeight = "1.45", LetterSpacing = "normal" },
            H1 = new H1Typography { FontFamily = SystemFonts, FontSize = "1.375rem", FontWeight = "650", LineHeight = "1.25", LetterSpacing = "-0.01em" },
            H2 = new H2Typography { FontFamily = SystemFonts, FontSize = "1.0625rem", FontWeight = "650", LineHeight = "1.3", LetterSpacing = "normal" },
            H6 = new H6Typography { FontFamily = SystemFonts, FontSize = "1rem", FontWeight = "650", LineHeight = "1.3", LetterSpacing = "normal" },
            Body1 = new Body1Typography { FontFamily = SystemFonts, FontSize = "0.875rem", LineHeight = "1.45", LetterSpacing = "normal" },
            Body2 = new Body2Typography { FontFamily = SystemFonts, FontSize = "0.8125rem", LineHeight = "1.4", LetterSpacing = "normal" },
            Button = new ButtonTypography { FontFamily = SystemFonts, FontSize = "0.8125rem", FontWeight = "600", LetterSpacing = "normal", TextTransform = "none" },
            Caption = new CaptionTypography { FontFamily = SystemFonts, FontSize = "0.75rem", LineHeight = "1.35", LetterSpacing = "normal" },
        },
    };
}
