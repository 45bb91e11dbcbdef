using Phasekeeper.Packets.Xtce;

namespace Phasekeeper.Storage;

/// <summary>Raw numbers of a channel's samples and the calibrator that made values of them.</summary>
/// <param name="Raw">Raw numbers as they came, one a sample.</param>
/// <param name="Calibrator">What the definition says turns them into values.</param>
public sealed record RawCounts(double[] Raw, Calibrator Calibrator);

/// <summary>
/// What the numbers of a section mean: a calibrator that turns them into values, or labels. Kept once for all sections that use it (table <c>telemetryForm</c>), by its bytes: one for its sort,
/// then coefficients, points or labels. The calibrators' arithmetic is thereby part of the format; a section is only written so where it gives every value back bit by bit.
/// </summary>
internal sealed class TelemetryForm
{
    private const byte PolynomialSort = 1, SplineSort = 2, LabelSort = 3;

    public Calibrator? Calibrator { get; private init; }
    public IReadOnlyDictionary<long, string>? Labels { get; private init; }

    /// <summary>Bytes of a calibrator; null for a sort that has no form.</summary>
    public static byte[]? Encode(Calibrator calibrator)
    {
        var writer = new ByteWriter();
        switch (calibrator)
        {
            case PolynomialCalibrator polynomial:
                writer.Byte(PolynomialSort);
                writer.Unsigned((ulong)polynomial.Coefficients.Count);
                foreach (var c in polynomial.Coefficients) writer.Double(c);
                return writer.ToArray();
            case SplineCalibrator spline:
                writer.Byte(SplineSort);
                writer.Byte((byte)((spline.Order << 1) | (spline.Extrapolates ? 1 : 0)));
                writer.Unsigned((ulong)spline.Points.Count);
                foreach (var (raw, value) in spline.Points)
                {
                    writer.Double(raw);
                    writer.Double(value);
                }
                return writer.ToArray();
            default:
                return null;
        }
    }

    /// <summary>Bytes of labels, in the order of their numbers.</summary>
    public static byte[] Encode(IReadOnlyList<(long Number, string Label)> labels)
    {
        var writer = new ByteWriter();
        writer.Byte(LabelSort);
        writer.Unsigned((ulong)labels.Count);
        foreach (var (number, label) in labels)
        {
            writer.Signed(number);
            writer.Text(label);
        }
        return writer.ToArray();
    }

    public static TelemetryForm Decode(byte[] bytes)
    {
        var reader = new ByteReader(bytes);
        switch (reader.Byte())
        {
            case PolynomialSort:
                var coefficients = new double[checked((int)reader.Unsigned())];
                for (var i = 0; i < coefficients.Length; i++) coefficients[i] = reader.Double();
                return new() { Calibrator = new PolynomialCalibrator(coefficients) };
            case SplineSort:
                var head = reader.Byte();
                var points = new (double, double)[checked((int)reader.Unsigned())];
                for (var i = 0; i < points.Length; i++) points[i] = (reader.Double(), reader.Double());
                return new() { Calibrator = new SplineCalibrator(points, head >> 1, (head & 1) != 0) };
            case LabelSort:
                var labels = new Dictionary<long, string>();
                for (var left = reader.Unsigned(); left > 0; left--)
                {
                    var number = reader.Signed();
                    labels[number] = reader.Text();
                }
                return new() { Labels = labels };
            default:
                throw StorageErrors.BlobDamaged("form of a series", $"sort {bytes[0]}; expected 1 to 3");
        }
    }
}
