namespace Phasekeeper.Pipeline.Intake;

/// <summary>All failures that intake raises, so that their texts can be read together.</summary>
internal static class IntakeErrors
{
    public static InvalidDataException AuxiliaryTooLarge(string name, long largest) => new(
        $"{name} was recognised as an orbit, attitude or activity file but is larger than {largest} bytes. Split it, or name it .pkt if it holds packets.");

    public static InvalidOperationException NothingToRetry(long id, long kept, long length) => new(
        $"Quarantine item {id} has {length} bytes, of which only the first {kept} were kept: it cannot be retried. Send its file again.");

    public static InvalidOperationException FileIsToBeMended(long id) => new(
        $"Quarantine item {id} is a file with mistakes, which its reason lists: it will read no better a second time. Mend it, send it again, and discard this item.");

    public static InvalidOperationException ConflictIsNoFault(long id) => new(
        $"Quarantine item {id} lost its place to another packet; no change of the definition makes it the one to use. Discard it, or leave it as evidence.");
}
