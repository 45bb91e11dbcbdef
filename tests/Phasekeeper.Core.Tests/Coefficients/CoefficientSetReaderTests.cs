using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Input;
using Phasekeeper.Core.Instrument;
using Phasekeeper.Core.Profile;
using Phasekeeper.Core.Tests.Profile;

namespace Phasekeeper.Core.Tests.Coefficients;

public class CoefficientSetReaderTests
{
    private const string Flat = "1,1,1,1,1,1,1,1\n1,1,1,1,1,1,1,1.5\n";
    private static readonly InstrumentModel Instrument = MissionProfileReader.Read(ProfileText.Profile, "p", [])!.Instrument!;

    [Fact]
    public void A_valid_set_is_read_with_its_flat_and_defaults()
    {
        var set = Read(ProfileText.Coefficients, Flat, out var errors);

        Assert.Empty(errors);
        var optics = set!.OpticsOf("F", "green")!;
        Assert.Equal(1.5, optics.Flat![1][7]);
        Assert.Equal(0.65, optics.LampVisibility); // absent: as the scene's
        Assert.Equal(-0.08, optics.EnvelopeM2);
        Assert.Equal(0.05 * 5, set.ImageShiftOf("F").ShiftAt(20), 12);
        Assert.Equal(4.0, set.Dark.RateAt(-13.5), 12);
    }

    [Fact]
    public void The_distortion_is_the_polynomial_of_the_contract()
    {
        var optics = Read(ProfileText.Coefficients, Flat, out _)!.OpticsOf("F", "green")!;
        // Ψ = a00 + a01·y + a10·x at the corner x = y = 1.
        Assert.Equal(0.0 + 0.1 + 0.2, optics.DistortionAt(7, 1, 8, 2), 12);
        Assert.Equal(0.0 - 0.1 - 0.2, optics.DistortionAt(0, 0, 8, 2), 12);
    }

    [Theory]
    [InlineData("\"view\": \"F\", \"line\": \"green\"", "\"view\": \"G\", \"line\": \"green\"", "found \"G\"; expected \"F\".")]
    [InlineData("\"zeroWindRad\": [0.01, 0.02]", "\"zeroWindRad\": [0.01]", "found a list of 1; expected a list of 2 numbers")]
    [InlineData("\"lagS\": 420.0", "\"lag\": 420.0", "found an unknown key; expected one of radPerK, lagS, referenceC")]
    [InlineData("flat.csv", "other.csv", "found \"other.csv\", which is not in the folder; expected a CSV file in the same folder.")]
    public void A_mistake_tells_what_was_found_and_expected(string right, string wrong, string message)
    {
        Assert.Null(Read(ProfileText.Coefficients.Replace(right, wrong, StringComparison.Ordinal), Flat, out var errors));
        Assert.Contains(errors, e => e.ToString().Contains(message, StringComparison.Ordinal));
    }

    [Theory]
    [InlineData("1,1,1,1,1,1,1,1\n", "flat.csv, the whole file: found 1 lines; expected 2 lines, one a detector row.")]
    [InlineData("1,1,1,1,1,1,1,1\n1,1,1,1,1,1,1\n", "flat.csv, line 2: found 7 numbers; expected 8 numbers, one a sample.")]
    [InlineData("1,1,1,1,1,1,1,1\n1,1,1,x,1,1,1,1\n", "flat.csv, line 2, field 4: found \"x\"; expected a number greater than 0.")]
    public void A_bad_flat_field_names_line_and_field(string flat, string message)
    {
        Assert.Null(Read(ProfileText.Coefficients, flat, out var errors));
        Assert.Equal(message, Assert.Single(errors).ToString());
    }

    [Fact]
    public void Writing_and_reading_back_gives_the_same_set()
    {
        var set = Read(ProfileText.Coefficients, Flat, out _)!;
        var text = CoefficientSetWriter.Write(set, _ => "flat.csv");
        var again = Read(text, Flat, out var errors)!;

        Assert.Empty(errors);
        Assert.Equal(text, CoefficientSetWriter.Write(again, _ => "flat.csv"));
        Assert.Equal(set.ValidFrom, again.ValidFrom);
        Assert.Equal(set.Optics[0].Thermal, again.Optics[0].Thermal);
    }

    private static CoefficientSet? Read(string text, string flat, out List<InputError> errors)
    {
        errors = [];
        return CoefficientSetReader.Read(text, "coefficients.json", Instrument, name => name == "flat.csv" ? flat : null, errors);
    }
}
