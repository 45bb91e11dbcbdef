using System.Globalization;
using System.IO.Compression;
using System.Text;
using System.Text.Json;
using System.Text.Json.Nodes;
using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Coefficients;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.Coefficients;

/// <summary>What page and API show of coefficient sets.</summary>
public sealed class CoefficientsQueries(Stores stores)
{
    /// <summary>All sets with what was decided and when each is in force, from their heads: no set's numbers and no evidence is read. <paramref name="mission"/> null: as the decisions say, without nodes.</summary>
    public IReadOnlyList<CoefficientSetItem> Sets(MissionState? mission)
    {
        var all = stores.Coefficients.Decisions();
        var decisions = all.ToLookup(d => d.SetId);
        var timeline = Timeline(all, mission).ToLookup(t => t.SetId);
        return [.. stores.Coefficients.Heads().Select(s => Item(s, decisions[s.Id], timeline[s.Id]))];
    }

    /// <summary>A set with its newest evidence; null where there is no such set.</summary>
    public CoefficientSetItem? One(long id, MissionState? mission) => stores.Coefficients.Head(id) is { } head
        ? WithEvidence(Item(head, stores.Coefficients.Decisions(id), Timeline(stores.Coefficients.Decisions(), mission).Where(t => t.SetId == id))) : null;

    /// <summary>A set of a list with the document of its newest evidence, which lists leave out.</summary>
    public CoefficientSetItem WithEvidence(CoefficientSetItem set)
    {
        ArgumentNullException.ThrowIfNull(set);
        return set.EvidenceId is { } id && stores.Coefficients.EvidenceById(id) is { } row ? set with { Evidence = JsonElement.Parse(row.Document) } : set;
    }

    /// <summary>Which set is in force when.</summary>
    public IReadOnlyList<DecidedStretch> Timeline(MissionState? mission) => Timeline(stores.Coefficients.Decisions(), mission);

    /// <summary>What decisions make again, the newest first.</summary>
    public IReadOnlyList<ReprocessingItem> Reprocessing()
    {
        var sets = stores.Coefficients.Decisions().ToDictionary(d => d.Id, d => d.SetId);
        var paused = stores.Reprocessing.IsPaused;
        return [.. stores.Reprocessing.All().Reverse().Select(r => Item(r, sets[r.Decision], paused))];
    }

    /// <summary>What differs between two sets; null where one is not there.</summary>
    public IReadOnlyList<CoefficientDifference>? Differences(long before, long after, MissionState mission)
    {
        ArgumentNullException.ThrowIfNull(mission);
        return Set(before, mission) is { } a && Set(after, mission) is { } b ? CoefficientDifferences.Between(a, b) : null;
    }

    /// <summary>
    /// UTC days with orbits whose products name another set than the one in force at their start, and how many of the day's orbits these are.
    /// </summary>
    public IReadOnlyList<(DateOnly Day, int Old, int All)> OldDays(MissionState mission)
    {
        var waiting = stores.Reprocessing.Orbits();
        if (waiting.Count == 0) return [];
        var (from, to) = ((int)waiting[0].Orbit, (int)waiting[^1].Orbit);
        var timeline = Timeline(mission);
        return [.. stores.Orbits.Rows(from, to).GroupBy(o => o.Start.UtcDate).OrderBy(g => g.Key)
            .Select(g => (g.Key, Old: g.Count(o => timeline.At(o.Start)?.SetId != o.CoefficientSet), All: g.Count())).Where(d => d.Old > 0)];
    }

    /// <summary>A set as a zip of coefficients.json and the flat fields beside it: what a profile folder holds. Null where it is not there.</summary>
    public byte[]? Zip(long id)
    {
        if (stores.Coefficients.Get(id) is not { } row) return null;
        var package = JsonNode.Parse(row.Json)!.AsObject();
        using var memory = new MemoryStream();
        using (var zip = new ZipArchive(memory, ZipArchiveMode.Create, leaveOpen: true))
        {
            Add(zip, "coefficients.json", package["coefficients"]!.ToJsonString(Indented));
            foreach (var (name, text) in package["flats"]!.AsObject()) Add(zip, name, text!.GetValue<string>());
        }
        return memory.ToArray();
    }

    private static readonly JsonSerializerOptions Indented = new() { WriteIndented = true };

    // The same set gives the same bytes.
    private static void Add(ZipArchive zip, string name, string text)
    {
        var entry = zip.CreateEntry(name);
        entry.LastWriteTime = new DateTimeOffset(2000, 1, 1, 0, 0, 0, TimeSpan.Zero);
        using var stream = entry.Open();
        stream.Write(Encoding.UTF8.GetBytes(text));
    }

    private CoefficientSet? Set(long id, MissionState mission) =>
        mission.Instrument is { } instrument && stores.Coefficients.Get(id) is { } row ? CoefficientPackage.Read(row.Json, instrument, row.Name) : null;

    private static IReadOnlyList<DecidedStretch> Timeline(IReadOnlyList<CoefficientDecisionRow> decisions, MissionState? mission) => mission is null ? [] : DecidedTimeline.Of(decisions, mission.Orbits);

    private static readonly JsonElement NoEvidence = JsonElement.Parse("{}");

    private static CoefficientSetItem Item(CoefficientHead s, IEnumerable<CoefficientDecisionRow> decisions, IEnumerable<DecidedStretch> timeline) => new(
        s.Id, s.Name, s.ValidFrom, s.State, s.Source, s.ProposedBy, s.ProposedRole, s.Proposed, s.Reason, s.Basis, s.Against, s.SoftwareVersion, Convert.ToHexStringLower(s.Hash),
        NoEvidence, s.EvidenceId, s.EvidenceAgainst, [.. decisions.Select(CoefficientDecisionItem.Of)],
        [.. timeline.Select(t => new InForceItem(t.From == Instant.MinValue ? null : t.From, t.To == Instant.MaxValue ? null : t.To, t.Decision))]);

    private static ReprocessingItem Item(ReprocessingRow r, long set, bool paused)
    {
        var pace = r.WorkedOrbits > 0 ? r.WorkedMs / 1000.0 / r.WorkedOrbits : (double?)null;
        var left = r.Waiting + r.Working;
        return new(r.Decision, set, r.FromTime == Instant.MinValue ? null : r.FromTime, r.ToTime, r.FirstOrbit, r.LastOrbit, r.Orbits, r.Done, r.Working, r.Waiting, r.TakenOver, pace, left > 0 ? pace * left : null,
            r.Finished is not null ? "done" : r.Working > 0 ? "running" : paused ? "paused" : "waiting", r.Started, r.Finished, r.RetiredBy, r.Retired);
    }

    /// <summary>A set's number and name, as pages say it.</summary>
    public static string Named(long? id, IEnumerable<CoefficientSetItem> sets) =>
        id is { } number ? string.Create(CultureInfo.InvariantCulture, $"{number} '{sets.FirstOrDefault(s => s.Id == number)?.Name}'") : "–";
}
