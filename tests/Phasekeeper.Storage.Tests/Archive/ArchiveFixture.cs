using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage.Tests.Archive;

/// <summary>Packets made by seed, and what an archive holds of them, as text that can be compared.</summary>
internal static class ArchiveFixture
{
    public static readonly Instant Start = Instant.FromUtc(2031, 3, 1, 0, 30, 0);

    /// <summary>Packets over some hours; about one in ten shares its place with another (a conflict).</summary>
    public static List<ArchivedPacket> Packets(int seed, int count)
    {
        var random = new Random(seed);
        var packets = new List<ArchivedPacket>();
        for (var i = 0; i < count; i++)
        {
            var bytes = new byte[random.Next(7, 60)];
            random.NextBytes(bytes);
            if (i > 0 && random.Next(10) == 0)
            {
                var other = packets[random.Next(packets.Count)];
                packets.Add(ArchivedPacket.Of(other.Time, other.Place.Apid, other.Place.SequenceCount, bytes));
            }
            else packets.Add(ArchivedPacket.Of(Start.AddSeconds(random.Next(0, 4 * 3600)), random.Next(100, 104), i, bytes));
        }
        return packets;
    }

    public static async Task<IngestResult> CommitAsync(Stores stores, IEnumerable<ArchivedPacket> packets, string source = "test", IEnumerable<QuarantineEntry>? quarantine = null)
    {
        var id = await stores.Database.WriteAsync(t => IngestStore.Begin(t, source, "packets", TempStores.Now));
        var list = packets.ToList();
        return await stores.Archive.CommitAsync(new ArchiveBatch
        {
            IngestId = id,
            Source = source,
            Now = TempStores.Now,
            Bytes = list.Sum(p => p.Bytes.Length),
            Packets = list,
            Quarantine = quarantine?.ToList() ?? [],
            IsLast = true,
        });
    }

    /// <summary>Everything that must not depend on how the packets came.</summary>
    public static string Describe(Stores stores)
    {
        var lines = new List<string>();
        foreach (var hour in stores.Archive.Hours(Instant.MinValue, Instant.MaxValue))
        {
            var content = stores.Archive.ReadHour(hour);
            lines.AddRange(content.Used.Select(p => $"used {hour} {p.Place} {Convert.ToHexString(p.Bytes.Span)}"));
            lines.AddRange(content.Conflicts.Select(c => $"lost {hour} {c.Loser.Place} {Convert.ToHexString(c.Loser.Bytes.Span)} to {c.Winner.Hash}"));
        }
        lines.AddRange(stores.Quarantine.List(Instant.MinValue, Instant.MaxValue, 100000).Items
            .Select(q => $"{q.Kind} {q.Reason} {q.Hour} {q.State} {Convert.ToHexString(stores.Quarantine.Bytes(q.Id))}").Order(StringComparer.Ordinal));
        return string.Join('\n', lines);
    }
}
