using System.Text.RegularExpressions;
using Phasekeeper.Core.Winds;
using Phasekeeper.Tests;

namespace Phasekeeper.Core.Tests.Winds;

public partial class WindReasonCatalogTests
{
    [Fact]
    public void Words_and_bits_are_unique_and_every_reason_has_a_sentence()
    {
        Assert.Equal(WindReasonCatalog.All.Count, WindReasonCatalog.All.Select(r => r.Word).Distinct().Count());
        Assert.Equal(Enumerable.Range(0, WindReasonCatalog.All.Count), WindReasonCatalog.All.Select(r => r.Bit));
        Assert.All(WindReasonCatalog.All, r => Assert.Matches("^[a-z]+(-[a-z]+)*$", r.Word));
        Assert.All(WindReasonCatalog.All, r => Assert.EndsWith(".", r.Help, StringComparison.Ordinal));
    }

    [Fact]
    public void Every_word_that_the_source_uses_is_in_the_catalogue()
    {
        var words = Directory.GetFiles(Path.Combine(ReferenceFiles.RepositoryRoot, "src", "Phasekeeper.Core", "Winds"), "*.cs")
            .SelectMany(f => WordOfReason().Matches(File.ReadAllText(f))).Select(m => m.Groups[1].Value).Distinct().ToList();
        Assert.True(words.Count >= 14, $"{words.Count} words found");
        Assert.All(words, w => WindReasonCatalog.Find(w));
        Assert.Throws<ArgumentException>(() => WindReasonCatalog.Find("no-such-word"));
    }

    [Fact]
    public void Masks_keep_which_quality_a_reason_allows()
    {
        WindQualityReason[] reasons = [new(WindQuality.Doubtful, "saturation", "3 samples."), new(WindQuality.Bad, "no-lamp", "None."), new(WindQuality.Good, "mean-elements", "2 m/s.")];
        var back = WindReasonCatalog.Reasons(WindReasonCatalog.Mask(reasons, WindQuality.Good), WindReasonCatalog.Mask(reasons, WindQuality.Doubtful), WindReasonCatalog.Mask(reasons, WindQuality.Bad));
        Assert.Equal(reasons.Select(r => (r.Quality, r.Word)), back.Select(r => (r.Quality, r.Word)));
    }

    // A quality, perhaps chosen between two, then the word.
    [GeneratedRegex("""WindQuality\.(?:Bad|Doubtful),\s*"([a-z-]+)",""")]
    private static partial Regex WordOfReason();
}
