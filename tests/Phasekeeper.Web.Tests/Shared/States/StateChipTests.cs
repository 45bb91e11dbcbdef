using Bunit;
using Phasekeeper.Web.Shared.States;

namespace Phasekeeper.Web.Tests.Shared.States;

public sealed class StateChipTests : BunitContext
{
    public static TheoryData<string> Words => [.. StateWord.All.Select(state => state.Word)];

    [Theory]
    [MemberData(nameof(Words))]
    public void Every_state_is_told_by_symbol_word_and_colour(string word)
    {
        var chip = Render<StateChip>(p => p.Add(c => c.State, word));
        Assert.Equal(word, chip.Find(".state").TextContent.Trim());
        Assert.NotEmpty(chip.Find("svg path").GetAttribute("d")!);
        Assert.Contains(StateWord.Of(word).CssClass, chip.Find(".state").ClassList);
        Assert.NotEmpty(chip.Find(".state").GetAttribute("title")!);
    }

    [Fact]
    public void States_of_one_list_have_different_symbols()
    {
        string[][] lists = [["usable", "remarks", "held", "incomplete"], ["normal", "warning", "critical", "provisional"], ["notice", "warning", "critical"]];
        foreach (var list in lists) Assert.Equal(list.Length, list.Select(word => StateWord.Of(word).SymbolPath).Distinct().Count());
    }

    [Fact]
    public void A_symbol_alone_keeps_its_word_for_screen_readers()
    {
        var chip = Render<StateChip>(p => p.Add(c => c.State, "held").Add(c => c.SymbolOnly, true));
        Assert.Equal("held", chip.Find(".visually-hidden").TextContent);
    }

    [Fact]
    public void An_unknown_word_is_shown_as_it_is()
    {
        var chip = Render<StateChip>(p => p.Add(c => c.State, "something new"));
        Assert.Equal("something new", chip.Find(".state").TextContent.Trim());
    }
}
