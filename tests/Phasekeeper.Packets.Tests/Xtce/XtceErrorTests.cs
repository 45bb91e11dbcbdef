using FsCheck.Xunit;
using Phasekeeper.Packets.Decoding;

namespace Phasekeeper.Packets.Tests.Xtce;

/// <summary>What is not understood is an error with its line, and all errors of a file come together.</summary>
public class XtceErrorTests
{
    private static string With(string types, string entries = "<ParameterRefEntry parameterRef=\"A\"/>") =>
        Definitions.Wrap(types, "<Parameter name=\"A\" parameterTypeRef=\"a\"/>", entries);

    [Theory]
    [InlineData("<IntegerParameterType name=\"a\"><IntegerDataEncoding><DefaultCalibrator><MathOperationCalibrator/></DefaultCalibrator></IntegerDataEncoding></IntegerParameterType>", "MathOperationCalibrator", "not supported inside <DefaultCalibrator>")]
    [InlineData("<AggregateParameterType name=\"a\"/>", "AggregateParameterType", "this sort of parameter type is not supported")]
    [InlineData("<IntegerParameterType name=\"a\"><IntegerDataEncoding encoding=\"packedBCD\"/></IntegerParameterType>", "IntegerDataEncoding", "encoding=\"packedBCD\" is not supported")]
    [InlineData("<IntegerParameterType name=\"a\"><IntegerDataEncoding sizeInBits=\"12\" byteOrder=\"leastSignificantByteFirst\"/></IntegerParameterType>", "IntegerDataEncoding", "expected whole bytes")]
    [InlineData("<IntegerParameterType name=\"a\"><IntegerDataEncoding bitOrder=\"leastSignificantBitFirst\"/></IntegerParameterType>", "IntegerDataEncoding", "bitOrder")]
    [InlineData("<IntegerParameterType name=\"a\" baseType=\"b\"><IntegerDataEncoding/></IntegerParameterType>", "IntegerParameterType", "attribute baseType=\"b\" is not supported")]
    [InlineData("<FloatParameterType name=\"a\"><FloatDataEncoding sizeInBits=\"80\"/></FloatParameterType>", "FloatDataEncoding", "supported: 16, 32, 64")]
    [InlineData("<FloatParameterType name=\"a\"><IntegerDataEncoding/><ContextAlarmList/></FloatParameterType>", "ContextAlarmList", "not supported inside <FloatParameterType>")]
    [InlineData("<IntegerParameterType name=\"a\"><IntegerDataEncoding><DefaultCalibrator><SplineCalibrator order=\"2\"><SplinePoint raw=\"0\" calibrated=\"0\"/><SplinePoint raw=\"1\" calibrated=\"0\"/></SplineCalibrator></DefaultCalibrator></IntegerDataEncoding></IntegerParameterType>", "SplineCalibrator", "order=\"2\"")]
    public void A_construct_that_is_not_supported_is_named_with_its_line(string type, string element, string message)
    {
        var error = Assert.Single(Definitions.Errors(With(type)), e => e.Element == element);
        Assert.Contains(message, error.Message, StringComparison.Ordinal);
        Assert.Equal(4, error.Line);
    }

    [Fact]
    public void All_errors_of_a_file_are_reported_together()
    {
        var errors = Definitions.Errors(With("<IntegerParameterType name=\"a\"><IntegerDataEncoding sizeInBits=\"99\"/></IntegerParameterType>",
            "<ParameterRefEntry parameterRef=\"NOBODY\"/><IndirectParameterRefEntry/><ParameterRefEntry parameterRef=\"A\"><RepeatEntry/></ParameterRefEntry>"));
        Assert.Equal(4, errors.Count);
        Assert.Contains(errors, e => e.Message.Contains("no parameter 'NOBODY'", StringComparison.Ordinal));
        Assert.Contains(errors, e => e.Element == "RepeatEntry");
    }

    [Fact]
    public void Names_of_the_profile_that_the_definition_lacks_are_errors()
    {
        var errors = Definitions.Errors(With(Definitions.IntegerType("a", 8)), Definitions.Cds("NO_DAY", "T_MS", null));
        Assert.Equal("packets.time.day: the definition has no parameter 'NO_DAY'.", Assert.Single(errors).ToString());
    }

    [Fact]
    public void Containers_that_include_or_extend_themselves_are_errors()
    {
        var errors = Definitions.Errors(With(Definitions.IntegerType("a", 8), "<ContainerRefEntry containerRef=\"Test\"/>"));
        Assert.Contains(errors, e => e.Message.Contains("includes itself", StringComparison.Ordinal));
        errors = Definitions.Errors(With(Definitions.IntegerType("a", 8)).Replace("<BaseContainer containerRef=\"Packet\"", "<BaseContainer containerRef=\"Test\"", StringComparison.Ordinal));
        Assert.Contains(errors, e => e.Message.Contains("built on itself", StringComparison.Ordinal));
    }

    [Fact]
    public void Document_types_and_external_entities_are_refused()
    {
        var errors = Definitions.Errors("<!DOCTYPE x [<!ENTITY e SYSTEM \"file:///etc/passwd\">]><SpaceSystem name=\"&e;\"/>");
        Assert.Equal("XML", Assert.Single(errors).Element);
    }

    [Property(MaxTest = 100)]
    public void Any_text_gives_errors_and_no_exception(string? text, int cut)
    {
        Assert.NotEmpty(Definitions.Errors(text ?? ""));
        var whole = With(Definitions.IntegerType("a", 8));
        var at = (int)((uint)cut % (whole.Length - 20));
        DecodingPlan.TryCompile(whole.Remove(at, 3), Definitions.Cds("T_DAY", "T_MS", null), null, out var plan, out var errors);
        Assert.Equal(plan is null, errors.Count > 0);
    }
}
