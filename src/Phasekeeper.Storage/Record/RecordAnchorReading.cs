using System.Globalization;

namespace Phasekeeper.Storage;

/// <summary>What an anchor file says; see <see cref="RecordAnchor"/> for its lines.</summary>
internal sealed class RecordAnchorReading
{
    // Chosen: no record reaches it in the life of a mission, and a number beyond it was written by no program of ours.
    private const long MostEntries = 1_000_000_000_000;

    private readonly Dictionary<long, byte[]> committed = [];
    private readonly List<(long Number, byte[] Hash)> pending = [];
    private readonly List<(long First, long Last)> replaced = [];
    private readonly List<(int Line, string Text)> unreadable = [];

    private RecordAnchorReading(bool exists) => Exists = exists;

    /// <summary>False: there is no such file.</summary>
    public bool Exists { get; }

    /// <summary>Entries up to this one are not covered; 0 = all are.</summary>
    public long Begin { get; private set; }

    /// <summary>Hashes of committed entries, by number.</summary>
    public IReadOnlyDictionary<long, byte[]> Committed => committed;

    /// <summary>Number of the newest committed entry.</summary>
    public long Newest { get; private set; }

    /// <summary>Entries that were about to be committed when the file ends; in order.</summary>
    public IReadOnlyList<(long Number, byte[] Hash)> Pending => pending;

    /// <summary>Stretches of committed entries whose places others took later.</summary>
    public IReadOnlyList<(long First, long Last)> Replaced => replaced;

    /// <summary>Lines that nobody of ours wrote.</summary>
    public IReadOnlyList<(int Line, string Text)> Unreadable => unreadable;

    /// <summary>Bytes of a last line that was cut off by a crash.</summary>
    public long TornBytes { get; private set; }

    /// <summary>Number of the newest entry that the file knows, committed or not.</summary>
    public long NewestKnown => pending.Count > 0 ? Math.Max(Newest, pending[^1].Number) : Newest;

    /// <summary>Hash that the file has for an entry; null when it has none.</summary>
    public byte[]? HashOf(long number) => committed.GetValueOrDefault(number) ?? pending.Where(p => p.Number == number).Select(p => p.Hash).LastOrDefault();

    public static RecordAnchorReading Read(string path)
    {
        if (!File.Exists(path)) return new RecordAnchorReading(false);
        string text;
        // The program may be writing it at this moment.
        using (var file = new FileStream(path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite | FileShare.Delete))
        using (var reader = new StreamReader(file)) text = reader.ReadToEnd();
        var reading = new RecordAnchorReading(true);
        var end = text.LastIndexOf('\n') + 1;
        reading.TornBytes = text.Length - end;
        var number = 0;
        foreach (var line in text[..end].Split('\n')[..^1])
        {
            number++;
            if (!reading.Take(line.Split(' '), number)) reading.unreadable.Add((number, line));
        }
        return reading;
    }

    private bool Take(string[] parts, int line)
    {
        if (parts.Length < 2 || !long.TryParse(parts[1], NumberStyles.None, CultureInfo.InvariantCulture, out var number) || number > MostEntries) return false;
        switch (parts)
        {
            case ["begin", _, var text] when line == 1 && Hash(text) is { } hash:
                (Begin, Newest) = (number, number);
                if (number > 0) committed[number] = hash;
                return true;
            case ["w", _, var text] when Hash(text) is { } hash:
                // A number that comes again supersedes what was never committed from there on.
                while (pending.Count > 0 && pending[^1].Number >= number) pending.RemoveAt(pending.Count - 1);
                pending.Add((number, hash));
                return true;
            case ["c", _] when pending.Count > 0 && pending[^1].Number == number:
                Commit();
                return true;
            default:
                return false;
        }
    }

    private void Commit()
    {
        foreach (var (n, hash) in pending)
        {
            if (n <= Newest && !(committed.TryGetValue(n, out var old) && old.AsSpan().SequenceEqual(hash)))
            {
                replaced.Add((n, Newest));
                // Not number by number up to the newest: what lies between need not be there.
                foreach (var gone in committed.Keys.Where(k => k >= n).ToArray()) committed.Remove(gone);
                Newest = n;
            }
            committed[n] = hash;
            Newest = Math.Max(Newest, n);
        }
        pending.Clear();
    }

    private static byte[]? Hash(string text) => text.Length == 2 * RecordHash.Bytes && text.All(char.IsAsciiHexDigitLower) ? Convert.FromHexString(text) : null;
}
