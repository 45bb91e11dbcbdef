using System.Collections.Concurrent;
using System.Text;
using System.Text.RegularExpressions;
using Phasekeeper.Core.Comparison;
using Phasekeeper.Core.Limb;
using Phasekeeper.Core.Orbits;
using Phasekeeper.Core.Orbits.Files;
using Phasekeeper.Core.Profile;
using Phasekeeper.Core.Text;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Activities;
using Phasekeeper.Pipeline.Orbits;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Mission;

/// <summary>Reads orbit, attitude and activity files of the store into what the mission works with. A file with mistakes is an exception that names all of them.</summary>
public sealed partial class AuxiliaryReader(Stores stores, MissionProfile profile)
{
    // A file never changes.
    private readonly ConcurrentDictionary<long, IReadOnlyList<CalendarEntry>> calendars = new();

    // Chosen: a month's file of states takes some 5 MB; reprocessing goes along the time, and pages look at a few days.
    private readonly EphemerisShelf shelf = new(8);
    private readonly ConcurrentDictionary<long, EphemerisFile> orbits = new();
    // Read whole, because the store has no outline of them that counts.
    private readonly ConcurrentDictionary<long, EphemerisFile> unkept = new();

    /// <summary>An orbit file. Its states are read where its outline was not kept, or when one is asked for.</summary>
    /// <exception cref="FormatException">The file has mistakes.</exception>
    public EphemerisFile Orbit(AuxiliaryRow row) => orbits.GetOrAdd(row.Id, _ =>
    {
        EphemerisFile With(Instant? createdAt, OutlinedEphemeris ephemeris) => new(row.Id, row.Name, Convert.ToHexStringLower(row.Sha256), createdAt, ephemeris);
        IEphemeris Read() => Ephemeris(row.Format, row.Name, Text(row), profile);
        if (Kept(row.Id) is var (outline, made)) return With(made, new OutlinedEphemeris(outline, Read, shelf));
        var text = Text(row);
        return unkept[row.Id] = With(CreatedAt(text), OutlinedEphemeris.Of(Ephemeris(row.Format, row.Name, text, profile), Read, shelf));
    });

    /// <summary>Keeps the outlines of orbit files that have none, or one of another version.</summary>
    public async Task KeepOutlinesAsync(IReadOnlyList<AuxiliaryRow> rows, CancellationToken cancel)
    {
        var lacking = rows.Select(Orbit).Where(f => unkept.ContainsKey(f.FileId)).ToArray();
        if (lacking.Length == 0) return;
        await stores.Database.WriteAsync(t =>
        {
            foreach (var file in lacking) AuxiliaryStore.SetOutline(t, file.FileId, EphemerisOutlineText.Write(file.Ephemeris.Outline, file.CreatedAt, profile.CatalogNumber));
        }, cancel).ConfigureAwait(false);
        foreach (var file in lacking) unkept.TryRemove(file.FileId, out _);
    }

    private (EphemerisOutline Outline, Instant? CreatedAt)? Kept(long id) =>
        stores.Auxiliary.Outline(id) is { } text && EphemerisOutlineText.TryRead(text, profile.CatalogNumber, out var outline, out var createdAt) ? (outline, createdAt) : null;

    /// <summary>An attitude file.</summary>
    /// <exception cref="FormatException">The file has mistakes.</exception>
    public AttitudeFile Attitude(AuxiliaryRow row)
    {
        var text = Text(row);
        return new(row.Id, row.Name, Convert.ToHexStringLower(row.Sha256), CreatedAt(text), AemFile.Read(row.Name, text).Value);
    }

    /// <summary>A set of winds that others measured or modelled.</summary>
    /// <exception cref="FormatException">The file has mistakes.</exception>
    public IndependentWinds Winds(AuxiliaryRow row) => IndependentWindFile.Read(row.Name, Text(row)).Value;

    /// <summary>A file of planned activities, over the mission's span.</summary>
    /// <exception cref="ActivityFileException">The file has mistakes.</exception>
    public IReadOnlyList<CalendarEntry> Activities(AuxiliaryRow row) => calendars.GetOrAdd(row.Id, _ => ActivityFile.ReadEntries(Text(row), row.Name, profile.SpanStart, profile.SpanEnd, profile.ActivityKinds));

    /// <summary>All mistakes of a file as one text, or null when it can be used: what <see cref="Orbit"/>, <see cref="Attitude"/> or <see cref="Activities"/> would refuse it with.</summary>
    public static string? RefusalOf(string kind, string format, string name, byte[] content, MissionProfile profile)
    {
        var text = Text(content);
        try
        {
            _ = kind switch
            {
                AuxiliaryKind.Orbit => (object)Ephemeris(format, name, text, profile),
                AuxiliaryKind.Winds => IndependentWindFile.Read(name, text).Value,
                AuxiliaryKind.Attitude => AemFile.Read(name, text).Value,
                _ => ActivityFile.Read(text, name, profile.SpanStart, profile.SpanEnd, profile.ActivityKinds),
            };
            return null;
        }
        catch (Exception e) when (e is FormatException or ActivityFileException)
        {
            return e.Message;
        }
    }

    private static IEphemeris Ephemeris(string format, string name, string text, MissionProfile profile) => format switch
    {
        "oem" => OemFile.Read(name, text).Value,
        "omm" => OmmFile.Read(name, text, profile.CatalogNumber).Value,
        "tle" => TleFile.Read(name, text, profile.CatalogNumber).Value,
        _ => throw new FormatException($"{name}: found an orbit file of the format '{format}'; expected oem, omm or tle."),
    };

    /// <summary>When the maker of a CCSDS file says it was made (KVN or XML); null when it does not say.</summary>
    public static Instant? CreatedAt(string text) =>
        CreationDate().Match(text) is { Success: true } match && Instant.TryParseUtc(match.Groups[1].Value, out var made) ? made : null;

    /// <summary>Every mistake of an orbit file; its format is told by its extension.</summary>
    public static IReadOnlyList<FileError> MistakesOfOrbit(string name, string text, MissionProfile profile) => Path.GetExtension(name).ToLowerInvariant() switch
    {
        ".oem" => OemFile.Read(name, text).Errors,
        ".omm" => OmmFile.Read(name, text, profile.CatalogNumber).Errors,
        ".tle" => TleFile.Read(name, text, profile.CatalogNumber).Errors,
        var other => [new(name, 0, $"the extension '{other}'", ".oem, .omm or .tle, after which the format is known")],
    };

    /// <summary>The text of a file.</summary>
    public static string Text(byte[] content) => Encoding.UTF8.GetString(content).TrimStart('\uFEFF');

    private string Text(AuxiliaryRow row) => Text(stores.Auxiliary.Content(row.Id));

    [GeneratedRegex(@"CREATION_DATE\s*[=>]\s*([0-9T:.Z+-]+)")]
    private static partial Regex CreationDate();
}
