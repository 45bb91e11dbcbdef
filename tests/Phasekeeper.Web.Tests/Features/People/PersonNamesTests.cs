using Phasekeeper.Web.Features.People;

namespace Phasekeeper.Web.Tests.Features.People;

/// <summary>Names that look the same are the same name, or none.</summary>
public class PersonNamesTests
{
    [Theory]
    [InlineData(" Lea  Berg ", "Lea Berg")]
    [InlineData("Lea\u00a0Berg", "Lea Berg")] // no-break space
    [InlineData("Zo\u00eb", "Zo\u00eb")]
    [InlineData("lea@example.org", "lea@example.org")]
    [InlineData("Ελένη", "Ελένη")]
    [InlineData("Лея", "Лея")]
    public void A_name_is_written_in_one_way(string given, string kept) => Assert.Equal(kept, PersonNames.Checked(given));

    [Theory]
    [InlineData("lea\u200b")] // zero-width space
    [InlineData("l\u202eea")] // right-to-left override
    [InlineData("\uff2c\uff45\uff41")] // full width
    [InlineData("Zoe\u0308")] // an accent apart from its letter
    [InlineData("o\ufb03ce")] // ligature
    [InlineData("le\u0430")] // Cyrillic a
    [InlineData("l\u03bfu")] // Greek omicron
    [InlineData("lea\u0000")]
    [InlineData("lea\ue000")] // private use
    [InlineData("Demo\u00a0analyst")]
    [InlineData("demo")]
    [InlineData("\uff53ystem")]
    [InlineData("\ufffd")]
    public void A_name_that_can_pass_for_another_is_none(string given) => Assert.Throws<PeopleException>(() => PersonNames.Checked(given));
}
