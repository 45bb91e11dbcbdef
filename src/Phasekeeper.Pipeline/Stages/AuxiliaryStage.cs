using Phasekeeper.Core.Comparison;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Winds;
using Phasekeeper.Pipeline.Activities;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Stages;

/// <summary>
/// Reads an orbit, attitude or activity file that arrived, says what it covers or refuses it with every mistake, and marks what it touches:
/// hours with packets within its span (their unchanged results are kept), or the orbits of activities that it changes.
/// </summary>
public sealed class AuxiliaryStage(Stores stores, AuxiliaryReader reader, ActivityPlans plans, TimeProvider clock)
{
    /// <summary>Runs one item; gives the stretches with data that it touches, or null when the mission's state is as it was. The mark of a file that was read stays: whoever loads the mission anew clears it with what follows from it.</summary>
    public async Task<IReadOnlyList<TimeStretch>?> RunAsync(WorkItem item, MissionState mission, CancellationToken cancel)
    {
        try
        {
            return await ReadAsync(item, mission, cancel).ConfigureAwait(false);
        }
        catch (KeyNotFoundException) when (stores.Auxiliary.Get(item.Key) is null)
        {
            // A person forgot the set of winds while it was being read: nothing is left to do.
            await stores.Database.WriteAsync(t => WorkQueue.Clear(t, item), cancel).ConfigureAwait(false);
            return null;
        }
    }

    private async Task<IReadOnlyList<TimeStretch>?> ReadAsync(WorkItem item, MissionState mission, CancellationToken cancel)
    {
        var now = Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);
        if (stores.Auxiliary.Get(item.Key) is not { } row)
        {
            await stores.Database.WriteAsync(t => WorkQueue.Clear(t, item), cancel).ConfigureAwait(false);
            return null;
        }
        (Instant From, Instant To, bool Definitive) cover;
        try
        {
            cover = Cover(row, mission);
        }
        catch (Exception e) when (e is FormatException or ActivityFileException)
        {
            await stores.Database.WriteAsync(t =>
            {
                AuxiliaryStore.SetRefused(t, row.Id, e.Message);
                EventStore.Add(t, now, "file", row.Name, $"The {row.Kind} file {row.Name} was refused: {e.Message}");
                WorkQueue.Clear(t, item);
            }, cancel).ConfigureAwait(false);
            return null;
        }
        if (row.Kind == AuxiliaryKind.Winds)
        {
            // Nothing of the mission follows from it: only the orbits near it are laid beside it.
            var reach = ComparisonLimits.Widest.Minutes * 60;
            long[] near = [.. stores.Orbits.Touching(cover.From.AddSeconds(-reach - WindVectorMatcher.LongestSeconds), cover.To.AddSeconds(reach)).Select(o => (long)o.Orbit)];
            await stores.Database.WriteAsync(t =>
            {
                AuxiliaryStore.SetRead(t, row.Id, cover.Definitive, cover.From, cover.To);
                EventStore.Add(t, now, "file", row.Name, $"The independent winds {row.Name} cover {cover.From} to {cover.To}.");
                WorkQueue.Mark(t, WorkKinds.WindUse, near, now);
                WorkQueue.Clear(t, item);
            }, cancel).ConfigureAwait(false);
            return null;
        }
        // Hours without an orbit too: what the file says of orbits may move where their flag stands.
        long[] hours = row.Kind == AuxiliaryKind.Activities ? []
            : [.. stores.Archive.Hours(cover.From, cover.To).Concat(stores.Fringes.WithoutMotion(Instant.MinValue, Instant.MaxValue).SelectMany(g => stores.Archive.Hours(g.From, g.To.AddSeconds(1)))).Distinct()];
        // Against what products were made with: a person's version may stand in the store that was not taken up yet.
        var marks = row.Kind == AuxiliaryKind.Activities ? ActivityMarks.Of(mission.Activities, plans.With(row).Active, stores) : ActivityMarks.None;
        await stores.Database.WriteAsync(t =>
        {
            AuxiliaryStore.SetRead(t, row.Id, cover.Definitive, cover.From, cover.To);
            EventStore.Add(t, now, "file", row.Name, $"The {row.Kind} file {row.Name} covers {cover.From} to {cover.To}.");
            WorkQueue.Mark(t, WorkKinds.Retrieve, hours, now);
            marks.Write(t, withWinds: mission.Instrument is not null, now);
        }, cancel).ConfigureAwait(false);
        return [.. hours.Select(h => new TimeStretch(Hour.Start(h), Hour.End(h)))];
    }

    private (Instant From, Instant To, bool Definitive) Cover(AuxiliaryRow row, MissionState mission)
    {
        switch (row.Kind)
        {
            case AuxiliaryKind.Orbit:
                var orbit = reader.Orbit(row);
                return (orbit.Ephemeris.Start, orbit.Ephemeris.End, orbit.CreatedAt >= orbit.Ephemeris.End);
            case AuxiliaryKind.Attitude:
                var attitude = reader.Attitude(row);
                return (attitude.Attitude.Start, attitude.Attitude.End, attitude.CreatedAt >= attitude.Attitude.End);
            case AuxiliaryKind.Winds:
                var winds = reader.Winds(row).Winds;
                return (winds[0].Time, winds[^1].Time, true);
            default:
                var activities = reader.Activities(row);
                return activities.Count == 0 ? (mission.Profile.SpanStart, mission.Profile.SpanStart, true)
                    : (activities.Min(e => e.Activity.From), activities.Max(e => e.Activity.To), true);
        }
    }
}
