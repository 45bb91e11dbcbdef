using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Record;

namespace Phasekeeper.Web.Tests.Features.Record;

/// <summary>Pages speak of every kind of entry in words.</summary>
public class RecordWordsTests
{
    [Fact]
    public void Every_kind_has_words()
    {
        var kinds = new[] { typeof(RecordKinds), typeof(PeopleRecordKinds), typeof(NoticeRecordKinds) }.SelectMany(t => t.GetFields()).Select(f => (string)f.GetRawConstantValue()!).ToArray();
        Assert.True(kinds.Length > 20);
        Assert.All(kinds, kind => Assert.NotEqual(kind, RecordWords.Kind(kind)));
    }
}
