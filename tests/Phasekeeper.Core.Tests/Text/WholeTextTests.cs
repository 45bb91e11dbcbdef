using Phasekeeper.Core.Text;

namespace Phasekeeper.Core.Tests.Text;

public sealed class WholeTextTests
{
    [Fact]
    public void Half_a_character_is_no_text()
    {
        Assert.True(WholeText.Is("plain °C"));
        Assert.True(WholeText.Is("\ud83d\ude80"));
        foreach (var text in new[] { "\ud83d", "a\ude80", "\ude80\ud83d" }) Assert.False(WholeText.Is(text));
    }

    [Theory]
    [InlineData("""{"a":"\ud83d\ude80"}""", true)]
    [InlineData("""{"a":"\\ud83d"}""", true)]
    [InlineData("""{"a":"\ud83d"}""", false)]
    [InlineData("""{"a":"\ud83dx"}""", false)]
    [InlineData("""{"\ude80":1}""", false)]
    [InlineData("""["\ud83d\n\ude80"]""", false)]
    [InlineData("""\u12""", true)]
    public void Escapes_of_json_count_as_what_they_mean(string json, bool whole) => Assert.Equal(whole, WholeText.IsInJson(json));
}
