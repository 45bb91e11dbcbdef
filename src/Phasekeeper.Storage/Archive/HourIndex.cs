using System.Data;
using Dapper;

namespace Phasekeeper.Storage;

/// <summary>
/// What is stored of an hour, by place: recognises duplicates and conflicts. Read from the block index, kept for the hours used
/// last. Only the archive's committing thread uses it.
/// </summary>
internal sealed class HourIndex
{
    // Chosen: a day of the largest mission is about 170,000 packets, some 15 MB here.
    private const int HoursKept = 48;
    private readonly Dictionary<long, Entry> hours = [];
    private long clock;

    /// <summary>What is stored of an hour.</summary>
    public Entry Of(IDbConnection connection, long hour)
    {
        if (!hours.TryGetValue(hour, out var entry))
        {
            entry = new Entry();
            foreach (var row in connection.Query<(byte[] Places, long Count)>("SELECT places, count FROM archiveBlock WHERE hour = @hour", new { hour }))
                foreach (var (place, hash) in BlockCodec.UnpackPlaces(row.Places, (int)row.Count)) entry.Add(place, hash);
            hours[hour] = entry;
        }
        entry.Used = ++clock;
        return entry;
    }

    /// <summary>Lets go of hours that were not used lately.</summary>
    public void Trim()
    {
        if (hours.Count <= HoursKept) return;
        foreach (var hour in hours.OrderBy(h => h.Value.Used).Take(hours.Count - HoursKept).Select(h => h.Key).ToList()) hours.Remove(hour);
    }

    /// <summary>Forgets everything: after a commit that failed, what is stored is read again.</summary>
    public void Clear() => hours.Clear();

    /// <summary>The packets of one hour.</summary>
    internal sealed class Entry
    {
        private readonly HashSet<UInt128> hashes = [];
        private readonly Dictionary<PacketPlace, UInt128> winners = [];

        public long Used { get; set; }

        public bool Holds(UInt128 hash) => hashes.Contains(hash);

        /// <summary>Adds a packet; gives the hash of the one that held the place before, null when it was free.</summary>
        public UInt128? Add(PacketPlace place, UInt128 hash)
        {
            hashes.Add(hash);
            if (!winners.TryGetValue(place, out var holder))
            {
                winners[place] = hash;
                return null;
            }
            if (hash < holder) winners[place] = hash;
            return holder;
        }
    }
}
