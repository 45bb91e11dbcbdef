using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Web.Features.Data;

namespace Phasekeeper.Web.Tests.Features.Data;

public sealed class WorkWordsTests
{
    [Theory]
    [InlineData(WorkKinds.ZeroWind, 1, "1 day's zero winds")]
    [InlineData(WorkKinds.ZeroWind, 3, "3 days' zero winds")]
    [InlineData(WorkKinds.Decode, 1, "1 hour to decode")]
    [InlineData(WorkKinds.Assess, 1200, "1\u202f200 orbits to assess")]
    [InlineData("somethingElse", 2, "2 something else")]
    public void One_and_many_are_told_apart(string kind, long count, string words) => Assert.Equal(words, WorkWords.Of(kind, count));
}
