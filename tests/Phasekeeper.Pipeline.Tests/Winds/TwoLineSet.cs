using System.Globalization;
using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Time;
using Phasekeeper.Demo.Environment;

namespace Phasekeeper.Pipeline.Tests.Winds;

/// <summary>The demo's circle as a two-line set. Its rates differ a little from SGP4's: far less than a tenth of a degree within some hours of the epoch.</summary>
internal static class TwoLineSet
{
    public static string[] Of(CircularOrbit orbit, Instant epoch)
    {
        var state = orbit.StateAt(epoch);
        var pole = Vec3.Cross(state.PositionTemeM, state.VelocityTemeMs);
        var node = new Vec3(-pole.Y, pole.X, 0).Normalized();
        var argument = Math.Atan2(Vec3.Dot(state.PositionTemeM.Normalized(), Vec3.Cross(pole.Normalized(), node)), Vec3.Dot(state.PositionTemeM.Normalized(), node));
        static double Degrees(double rad) => (rad * 180 / Math.PI + 360) % 360;
        var utc = epoch.UtcDate;
        var day = utc.DayOfYear + epoch.ToUnixDay().NanosecondOfDay / 86400e9;
        string[] lines =
        [
            string.Create(CultureInfo.InvariantCulture, $"1 99201U 31001A   {utc.Year % 100:00}{day:000.00000000}  .00000000  00000-0  00000-0 0  999"),
            string.Create(CultureInfo.InvariantCulture, $"2 99201 {50.0,8:0.0000} {Degrees(Math.Atan2(node.Y, node.X)),8:0.0000} 0000001 {0.0,8:0.0000} {Degrees(argument),8:0.0000} {86400 / orbit.PeriodS,11:0.00000000}    1"),
        ];
        return [.. lines.Select(l => l + Checksum(l))];
    }

    private static int Checksum(string line) => line.Sum(c => char.IsAsciiDigit(c) ? c - '0' : c == '-' ? 1 : 0) % 10;
}
