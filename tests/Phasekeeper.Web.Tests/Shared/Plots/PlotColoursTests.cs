using System.Globalization;
using System.Text.RegularExpressions;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Shared.Plots;

/// <summary>Distances in OKLab (Björn Ottosson, "A perceptual color space for image processing", 2020); colour vision deficiencies by the matrices of Machado, Oliveira and Fernandes 2009 (severity 1).</summary>
public sealed partial class PlotColoursTests
{
    private static readonly double[][] Normal = [[1, 0, 0], [0, 1, 0], [0, 0, 1]];
    private static readonly double[][] Protanopia = [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]];
    private static readonly double[][] Deuteranopia = [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]];
    private static readonly double[][] Tritanopia = [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]];

    public static TheoryData<string> Eyes => ["normal", "protanopia", "deuteranopia", "tritanopia"];

    [Theory, MemberData(nameof(Eyes))]
    public void The_signed_scale_is_even_to_every_eye_and_its_halves_differ(string eye)
    {
        var colours = Seen("diverging", eye);
        double[] steps = [.. colours.Zip(colours.Skip(1), Distance)];
        Assert.InRange(steps.Max() / steps.Min(), 1, 1.35);
        // Two tenths and more either side of zero are told apart by hue alone, not only by their lightness, which is the same.
        for (var i = 0; i < 4; i++) Assert.True(Distance(colours[i], colours[^(1 + i)]) > 0.1, $"{eye}: ±{1 - 0.2 * i:0.0} are {Distance(colours[i], colours[^(1 + i)]):0.000} apart.");
        Assert.True(Math.Abs(colours[0].L - colours[^1].L) < 0.06);
    }

    [Fact]
    public void Zero_is_neutral()
    {
        var zero = Seen("diverging", "normal")[5];
        Assert.True(Math.Sqrt(zero.A * zero.A + zero.B * zero.B) < 0.01);
    }

    private static (double L, double A, double B)[] Seen(string scale, string eye)
    {
        var line = StaticFiles.Read("js/plot-colours.js").Split("export const " + scale)[1].Split("];\n")[0];
        var matrix = eye switch { "protanopia" => Protanopia, "deuteranopia" => Deuteranopia, "tritanopia" => Tritanopia, _ => Normal };
        return [.. Hex().Matches(line).Select(m => OkLab(Times(matrix, Linear(m.Groups[1].Value))))];
    }

    private static double[] Linear(string hex) => [.. Enumerable.Range(0, 3).Select(i => int.Parse(hex.AsSpan(2 * i, 2), NumberStyles.HexNumber, CultureInfo.InvariantCulture) / 255.0)
        .Select(c => c <= 0.04045 ? c / 12.92 : Math.Pow((c + 0.055) / 1.055, 2.4))];

    private static (double, double, double) OkLab(double[] rgb)
    {
        var lms = Times([[0.4122214708, 0.5363325363, 0.0514459929], [0.2119034982, 0.6806995451, 0.1073969566], [0.0883024619, 0.2817188376, 0.6299787005]], rgb).Select(v => Math.Cbrt(Math.Max(0, v))).ToArray();
        var lab = Times([[0.2104542553, 0.7936177850, -0.0040720468], [1.9779984951, -2.4285922050, 0.4505937099], [0.0259040371, 0.7827717662, -0.8086757660]], lms);
        return (lab[0], lab[1], lab[2]);
    }

    private static double[] Times(double[][] matrix, double[] v) => [.. matrix.Select(row => row[0] * v[0] + row[1] * v[1] + row[2] * v[2])];

    private static double Distance((double L, double A, double B) a, (double L, double A, double B) b) => Math.Sqrt(Math.Pow(a.L - b.L, 2) + Math.Pow(a.A - b.A, 2) + Math.Pow(a.B - b.B, 2));

    [GeneratedRegex("#([0-9a-f]{6})")]
    private static partial Regex Hex();
}
