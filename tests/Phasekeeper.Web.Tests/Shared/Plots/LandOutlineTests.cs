using System.Text.Json;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Shared.Plots;

public sealed class LandOutlineTests
{
    private static readonly JsonElement File = JsonDocument.Parse(StaticFiles.Read("data/land-110m.json")).RootElement;

    [Fact]
    public void The_file_names_source_and_licence() => Assert.Contains("public domain", File.GetProperty("source").GetString(), StringComparison.Ordinal);

    [Fact]
    public void Rings_are_closed_and_stay_on_the_map()
    {
        Assert.All(Rings(), ring =>
        {
            Assert.Equal(ring[0], ring[^1]);
            Assert.All(ring, p => Assert.True(Math.Abs(p.X) <= 180 && Math.Abs(p.Y) <= 90, $"({p.X}, {p.Y})"));
        });
    }

    // 148.94 of 510.07 million km² are land (CIA World Factbook, "World"); lakes and small islands are not in this scale.
    [Fact]
    public void Land_covers_29_percent_of_the_globe()
    {
        var area = 0.0;
        foreach (var ring in Rings())
            for (var i = 1; i < ring.Length; i++)
                area += Radians(ring[i].X - ring[i - 1].X) * (Math.Sin(Radians(ring[i].Y)) + Math.Sin(Radians(ring[i - 1].Y))) / 2;
        Assert.Equal(0.292, Math.Abs(area) / (4 * Math.PI), 0.006);
    }

    [Theory]
    [InlineData(13.4, 52.5, true)] // Berlin
    [InlineData(-58.0, -10.0, true)] // Mato Grosso
    [InlineData(178.0, 67.5, true)] // Chukotka, west of the date line
    [InlineData(-175.0, 66.8, true)] // and east of it
    [InlineData(0.0, -89.0, true)] // near the south pole
    [InlineData(-30.0, 30.0, false)] // Atlantic
    [InlineData(51.0, 42.0, false)] // Caspian Sea, a hole
    [InlineData(179.5, -40.0, false)] // Pacific
    public void Known_places_are_land_or_sea(double longitude, double latitude, bool isLand)
    {
        var inside = false;
        foreach (var ring in Rings())
            for (var i = 1; i < ring.Length; i++)
            {
                var ((x0, y0), (x1, y1)) = (ring[i - 1], ring[i]);
                if (y0 > latitude != y1 > latitude && longitude < x0 + (latitude - y0) / (y1 - y0) * (x1 - x0)) inside = !inside;
            }
        Assert.Equal(isLand, inside);
    }

    private static IEnumerable<(double X, double Y)[]> Rings()
    {
        var step = File.GetProperty("stepDeg").GetDouble();
        foreach (var ring in File.GetProperty("rings").EnumerateArray())
        {
            int[] steps = [.. ring.EnumerateArray().Select(v => v.GetInt32())];
            var points = new (double, double)[steps.Length / 2];
            for (int i = 0, x = 0, y = 0; i < points.Length; i++)
            {
                (x, y) = (x + steps[2 * i], y + steps[2 * i + 1]);
                points[i] = (x * step, y * step);
            }
            yield return points;
        }
    }

    private static double Radians(double degrees) => degrees * (Math.PI / 180);
}
