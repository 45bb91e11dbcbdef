using System.Globalization;
using Phasekeeper.Packets.Decoding;
using Phasekeeper.Packets.Xtce;
using Phasekeeper.Tests;

namespace Phasekeeper.Packets.Tests.Xtce;

/// <summary>Bit fields, number formats and calibrators against check values from outside the project.</summary>
public class CalibratorReferenceTests
{
    private const double Relative = 1e-12;

    private static double Number(string text) => double.Parse(text, CultureInfo.InvariantCulture);

    private static double[] Numbers(string text) => [.. text.Split(' ', StringSplitOptions.RemoveEmptyEntries).Select(Number)];

    [Fact]
    public void Calibrated_values_are_those_of_the_reference()
    {
        // xtce_calibrators.csv: CCSDS 660.0-B-2 definitions, numpy/scipy and exact fractions.
        var rows = ReferenceFiles.ReadCsv("xtce_calibrators.csv");
        foreach (var row in rows)
        {
            Calibrator calibrator = row["calibrator"] == "polynomial"
                ? new PolynomialCalibrator(Numbers(row["polynomial_coefficients_ascending"]))
                : new SplineCalibrator(Numbers(row["spline_raw"]).Zip(Numbers(row["spline_calibrated"])), row["calibrator"].Contains("order 0", StringComparison.Ordinal) ? 0 : 1,
                    row["calibrator"].Contains("extrapolated", StringComparison.Ordinal));
            Assert.True(calibrator.TryApply(Number(row["raw"]), out var value));
            var expected = Number(row["calibrated"]);
            Assert.InRange(value, expected - Relative * Math.Max(1, Math.Abs(expected)), expected + Relative * Math.Max(1, Math.Abs(expected)));
        }
        Assert.Equal(37, rows.Count);
    }

    [Fact]
    public void A_spline_that_may_not_extrapolate_gives_no_value_outside_its_points()
    {
        var spline = new SplineCalibrator([(10, 1), (0, 0)], 1, extrapolate: false);
        Assert.True(spline.TryApply(5, out var middle));
        Assert.Equal(0.5, middle);
        Assert.False(spline.TryApply(10.5, out var outside));
        Assert.Equal(double.NaN, outside);
        Assert.False(spline.TryApply(-0.5, out _));
    }

    [Fact]
    public void Bit_fields_are_those_of_the_reference()
    {
        // bit_fields.csv: cut out of a whole number in Python.
        foreach (var row in ReferenceFiles.ReadCsv("bit_fields.csv"))
        {
            var (start, length) = (int.Parse(row["start_bit_from_first"], CultureInfo.InvariantCulture), int.Parse(row["length_bits"], CultureInfo.InvariantCulture));
            var bits = BitReader.Read(Convert.FromHexString(row["bytes_hex"]), start, length);
            Assert.Equal(ulong.Parse(row["unsigned"], CultureInfo.InvariantCulture), bits);
            Assert.Equal(long.Parse(row["twos_complement"], CultureInfo.InvariantCulture), BitReader.ToRaw(bits, NumberFormat.TwosComplement, length));
        }
    }

    [Fact]
    public void Number_formats_are_those_of_the_reference()
    {
        // parameter_encodings.csv: IEEE 754, MIL-STD-1750A, two's and one's complement, sign-magnitude; exact.
        foreach (var row in ReferenceFiles.ReadCsv("parameter_encodings.csv"))
        {
            var format = row["encoding"] switch
            {
                "MILSTD_1750A" => NumberFormat.Milstd1750A,
                "IEEE754" => NumberFormat.Ieee754,
                "twosComplement" => NumberFormat.TwosComplement,
                "signMagnitude" => NumberFormat.SignMagnitude,
                "onesComplement" => NumberFormat.OnesComplement,
                var other => throw new InvalidDataException(other),
            };
            var raw = BitReader.ToRaw(Convert.ToUInt64(row["raw_hex_right_justified"], 16), format, int.Parse(row["size_bits"], CultureInfo.InvariantCulture));
            var value = format is NumberFormat.Ieee754 or NumberFormat.Milstd1750A ? BitConverter.Int64BitsToDouble(raw) : raw;
            Assert.Equal(Number(row["value"]), value);
        }
    }
}
