using System.Collections.Concurrent;
using System.Data;
using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using System.Text.Json;
using System.Text.Json.Nodes;
using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Instrument;
using Phasekeeper.Core.Orbits;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Activities;
using Phasekeeper.Pipeline.Coefficients;
using Phasekeeper.Pipeline.Orbits;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Mission;

/// <summary>
/// Brings the profile folder into the store at the first start, and builds the mission's state from the store ever after. After the first start
/// the folder's coefficients and rules are only compared with what is in force. What is taken in is on record.
/// </summary>
public sealed class MissionLoader(Stores stores, MissionFolder folder, TimeProvider clock)
{
    private const string NodesKey = "orbit-nodes";
    private const string RulesKey = "rules";
    private const string ProfileActor = "profile";
    private const string DigestsKey = "profile-digests";
    private const string SoftwareKey = "software-version";
    private const string FirstSet = "First set of the mission.";

    private ActivityPlans? plans;

    /// <summary>Reads the store's files; calendars that it has read it keeps.</summary>
    public AuxiliaryReader Reader { get; } = new(stores, folder.Profile);

    /// <summary>The plan of activities.</summary>
    public ActivityPlans Plans => plans ??= new(stores, folder.Profile, Reader);

    private readonly ConcurrentDictionary<long, (CoefficientSet Set, byte[] Hash)> sets = new();

    /// <summary>Whether a mission was opened on these stores before.</summary>
    public static bool HasOpened(Stores stores)
    {
        ArgumentNullException.ThrowIfNull(stores);
        return stores.Settings.Get(DigestsKey) is not null;
    }

    /// <summary>Puts the profile's files, first coefficient set and rules into the store, each once.</summary>
    public async Task RegisterAsync(CancellationToken cancel)
    {
        var now = Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);
        await stores.Database.WriteAsync(t =>
        {
            foreach (var (kind, file) in new[] { (AuxiliaryKind.Orbit, folder.Orbit), (AuxiliaryKind.Attitude, folder.Attitude), (AuxiliaryKind.Activities, folder.Activities) })
                if (file is not null) AddFile(t, kind, file, now);
            AdoptRules(t, now);
            if (folder.GroundSet is { } ground && CoefficientStore.Names(t).Count == 0)
            {
                var (id, _) = CoefficientStore.Propose(t, new CoefficientSetRow
                {
                    Name = ground.Name,
                    Json = CoefficientPackage.Write(ground),
                    ValidFrom = ground.ValidFrom,
                    ProposedBy = ProfileActor,
                    Proposed = now,
                    Source = CoefficientSource.Profile,
                    Reason = FirstSet,
                    Basis = "Ground calibration of the mission profile.",
                    SoftwareVersion = SoftwareVersion.Current,
                });
                // The first set of a mission counts from the beginning (contract.md section 2).
                CoefficientStore.Decide(t, new CoefficientDecisionRow
                {
                    SetId = id,
                    Decision = CoefficientDecision.Approved,
                    FromTime = Instant.MinValue,
                    Actor = ProfileActor,
                    Role = Roles.System,
                    Time = now,
                    Note = FirstSet,
                    SoftwareVersion = SoftwareVersion.Current,
                });
                RecordStore.Append(t, Actor.System, RecordKinds.CoefficientsApprove, ground.Name, null,
                    new { Id = id, Sha256 = CoefficientStore.HashOf(CoefficientPackage.Write(ground)), ValidFrom = ground.ValidFrom.ToString(), Source = CoefficientSource.Profile, From = "the beginning", ProposedBy = ProfileActor }, FirstSet, now);
            }
            TelemetryStore.SetChannels(t, folder.Plan.Channels.Where(c => !c.IsTimeField)
                .Select(c => new TelemetryChannel(c.Name, c.Parameter.Unit, c.Parameter.Description ?? "", folder.Profile.RoleOf(c.Name))));
            RecordWhatWorks(t, now);
        }, cancel).ConfigureAwait(false);
    }

    /// <summary>What in the profile folder differs from what is in force; sentences for the page.</summary>
    public IReadOnlyList<string> Differences(MissionState state)
    {
        var differences = new List<string>();
        if (folder.GroundSet is { } ground && stores.Coefficients.WithHash(CoefficientStore.HashOf(CoefficientPackage.Write(ground))) is null)
            differences.Add($"The profile's coefficient file ('{ground.Name}') is not among the sets of this mission: it is not used. Propose it to bring it in.");
        if (Core.Flags.RuleSetWriter.Write(folder.Rules) != Core.Flags.RuleSetWriter.Write(state.Rules))
            differences.Add("The profile's rules file differs from the rules in force: it is not used. What it says waits as a proposal under Rules, or was decided there.");
        return differences;
    }

    /// <summary>The state as the store has it now. Files that cannot be read are left out: the stage that reads them refuses them with the reason.</summary>
    public MissionState Load()
    {
        var rows = stores.Auxiliary.List().Where(r => r.State == "read").ToArray();
        var ephemerides = new EphemerisLibrary(rows.Where(r => r.Kind == AuxiliaryKind.Orbit).Select(Reader.Orbit));
        var hasOrbit = folder.Profile.OrbitFile is not null || ephemerides.Files.Count > 0;
        var orbits = hasOrbit ? new OrbitCalendar(Numbering(ephemerides)) : OrbitCalendar.Days;
        return new MissionState
        {
            Profile = folder.Profile,
            Plan = folder.Plan,
            Ephemerides = ephemerides,
            Attitudes = new AttitudeLibrary(rows.Where(r => r.Kind == AuxiliaryKind.Attitude).Select(Reader.Attitude), otherwiseNominal: folder.Attitude is null),
            Orbits = orbits,
            Coefficients = Timeline(orbits),
            RuleVersions = Thresholds.StoredRules.Timeline(stores.Rules.Versions()),
            Activities = Plans.Current().Active,
        };
    }

    /// <summary>Keeps what <see cref="Load"/> needs of the orbit files, so that it need not read them whole.</summary>
    public Task KeepOutlinesAsync(CancellationToken cancel) => Reader.KeepOutlinesAsync([.. stores.Auxiliary.List(AuxiliaryKind.Orbit).Where(r => r.State == "read")], cancel);

    /// <summary>Keeps the orbit numbers that the files give now, so that they never change.</summary>
    public Task KeepNumbersAsync(CancellationToken cancel)
    {
        var rows = stores.Auxiliary.List(AuxiliaryKind.Orbit).Where(r => r.State == "read").ToArray();
        if (rows.Length == 0) return Task.CompletedTask;
        var numbering = Numbering(new EphemerisLibrary(rows.Select(Reader.Orbit)));
        var text = new StringBuilder();
        foreach (var node in numbering.Nodes) text.Append(CultureInfo.InvariantCulture, $"{node.Time.TaiNanoseconds}:{node.Orbit};");
        return stores.Settings.SetAsync(NodesKey, text.ToString(), cancel);
    }

    /// <summary>
    /// Brings the stored orbits in line with the calendar after a file changed it: one that is no orbit any more (its stretch belongs to others now) goes, one
    /// whose limits moved takes the new ones; all that lie where either was are marked to be computed.
    /// </summary>
    public async Task AlignOrbitsAsync(MissionState mission, CancellationToken cancel)
    {
        var moved = stores.Orbits.Spans(int.MinValue, int.MaxValue).Select(o => (Row: o, Slot: mission.Orbits.Of(o.Orbit)))
            .Where(o => o.Slot is not { } slot || slot.Start != o.Row.Start || slot.End != o.Row.End).ToArray();
        if (moved.Length == 0) return;
        var touched = moved.SelectMany(o => mission.Orbits.In(o.Row.Start, o.Row.End).Select(s => (long)s.Number).Append(o.Row.Orbit)).Distinct().ToArray();
        var now = Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);
        await stores.Database.WriteAsync(t =>
        {
            foreach (var (row, slot) in moved)
                if (slot is { } limits) OrbitStore.SetLimits(t, row.Orbit, limits.Start, limits.End);
                else
                {
                    OrbitStore.Delete(t, row.Orbit);
                    TrackerStore.ReplaceOrbit(t, row.Orbit, []);
                    WindStore.ReplaceOrbit(t, row.Orbit, []);
                    WindVectorStore.ReplaceOrbit(t, row.Orbit, []);
                    TelemetryStore.ReplaceOrbit(t, row.Orbit, row.Start, row.Start);
                }
            WorkQueue.Mark(t, Stages.WorkKinds.Orbit, touched, now);
            WorkQueue.Mark(t, Stages.WorkKinds.Assess, touched, now);
        }, cancel).ConfigureAwait(false);
    }

    private static void AddFile(IDbTransaction transaction, string kind, ProfileFile file, Instant now)
    {
        var format = FormatOf(kind, file.Name);
        var (id, added) = AuxiliaryStore.Add(transaction, kind, format, file.Name, ProfileActor, file.Content, now);
        if (added)
            RecordStore.Append(transaction, Actor.System, RecordKinds.FileReceive, file.Name, null,
                new { Id = id, Kind = kind, Format = format, Source = ProfileActor, Bytes = file.Content.Length, Sha256 = SHA256.HashData(file.Content) }, null, now);
    }

    // The profile's rules are version 1. A rules file that differs at a later start never comes into force by itself: it becomes a proposal, once for each content, and a calibration lead decides.
    private void AdoptRules(IDbTransaction transaction, Instant now)
    {
        var text = Core.Flags.RuleSetWriter.Write(folder.Rules);
        var versions = RuleStore.Versions(transaction);
        if (versions.Count == 0)
        {
            // Earlier versions of the program kept the rules of the first start as a setting: those are version 1 then.
            var kept = SettingStore.Get(transaction, RulesKey);
            Thresholds.StoredRules.Begin(transaction, kept ?? text, ProfileActor, now);
            if (kept is null) RecordStore.Append(transaction, Actor.System, RecordKinds.RulesAdopt, folder.Rules.Name, null, new { Version = 1, Rules = JsonNode.Parse(text) }, "First rules of the mission.", now);
        }
        if (RuleStore.IsKnown(transaction, text)) return;
        const string why = "The rules file of the mission profile differs from the rules in force.";
        var id = RuleStore.Propose(transaction, new()
        {
            Source = RuleWords.Profile,
            Rules = text,
            Against = RuleStore.Versions(transaction)[^1].Id,
            ProposedBy = ProfileActor,
            ProposedRole = Roles.System,
            Proposed = now,
            Reason = why,
            SoftwareVersion = SoftwareVersion.Current,
        });
        RecordStore.Append(transaction, Actor.System, RecordKinds.RulesPropose, folder.Rules.Name, null, new { Proposal = id, Rules = JsonNode.Parse(text) }, why, now);
        EventStore.Add(transaction, now, "rules", id.ToString(CultureInfo.InvariantCulture), why + " It waits for a calibration lead's decision.");
    }

    // Profile and telemetry definition are read anew at every start, and what they say is in force at once: a change is put on record by what it can be told by.
    private void RecordWhatWorks(IDbTransaction transaction, Instant now)
    {
        Changed(DigestsKey, JsonSerializer.Serialize(folder.Digests), RecordKinds.ProfileAdopt, folder.Profile.Spacecraft, value => new { Sha256 = JsonNode.Parse(value) });
        Changed(SoftwareKey, SoftwareVersion.Current, RecordKinds.VersionChange, "program", value => new { Version = value });

        void Changed(string key, string value, string what, string subject, Func<string, object> shown)
        {
            var before = SettingStore.Get(transaction, key);
            if (before == value) return;
            SettingStore.Set(transaction, key, value);
            RecordStore.Append(transaction, Actor.System, what, subject, before is null ? null : shown(before), shown(value), null, now);
        }
    }

    private OrbitNumbering Numbering(EphemerisLibrary library)
    {
        var kept = stores.Settings.Get(NodesKey) is not { } text ? [] : text.Split(';', StringSplitOptions.RemoveEmptyEntries).Select(n => n.Split(':'))
            .Select(n => new OrbitNode(new Instant(long.Parse(n[0], CultureInfo.InvariantCulture)), int.Parse(n[1], CultureInfo.InvariantCulture)));
        // The first file that was ever loaded comes first: it says which orbit is number 1.
        return OrbitNumbering.FromNodes(kept, folder.Profile.RevolutionOffset).Extend(library.Files.OrderBy(f => f.FileId).Select(f => f.Ephemeris.Outline));
    }

    /// <summary>The state with the activities that are planned now.</summary>
    public MissionState WithActivities(MissionState mission)
    {
        ArgumentNullException.ThrowIfNull(mission);
        return mission with { Activities = Plans.Current().Active };
    }

    /// <summary>The state with the coefficient sets that orbits have now, after a decision or a step of reprocessing.</summary>
    public MissionState WithCoefficients(MissionState mission)
    {
        ArgumentNullException.ThrowIfNull(mission);
        return mission with { Coefficients = Timeline(mission.Orbits) };
    }

    /// <summary>The state with the versions of the rules as they are now, after a decision.</summary>
    public MissionState WithRules(MissionState mission)
    {
        ArgumentNullException.ThrowIfNull(mission);
        return mission with { RuleVersions = Thresholds.StoredRules.Timeline(stores.Rules.Versions()) };
    }

    private CoefficientTimeline Timeline(OrbitCalendar orbits)
    {
        if (folder.Profile.Instrument is not { } instrument) return new CoefficientTimeline([]);
        var waiting = stores.Reprocessing.Orbits().Where(o => !o.IsWorking).Select(o => (Slot: orbits.Of((int)o.Orbit), o.SetId)).Where(o => o.Slot is not null).Select(o => (o.Slot!.Value, o.SetId));
        var timeline = DecidedTimeline.WithWaiting(DecidedTimeline.Of(stores.Coefficients.Decisions(), orbits), waiting);
        return new CoefficientTimeline([.. timeline.Select(e => new CoefficientsInForce(e.From, e.SetId, Set(e.SetId, instrument).Set, Set(e.SetId, instrument).Hash))]);
    }

    private (CoefficientSet Set, byte[] Hash) Set(long id, InstrumentModel instrument)
    {
        // Sets never change.
        if (sets.TryGetValue(id, out var known)) return known;
        var row = stores.Coefficients.Get(id) ?? throw new InvalidOperationException($"A decision names the coefficient set {id}, which the store has lost.");
        return sets[id] = (CoefficientPackage.Read(row.Json, instrument, row.Name), row.Hash);
    }

    private static string FormatOf(string kind, string name) => kind switch
    {
        AuxiliaryKind.Attitude => "aem",
        AuxiliaryKind.Activities => "ics",
        _ => Path.GetExtension(name).TrimStart('.').ToLowerInvariant(),
    };
}
