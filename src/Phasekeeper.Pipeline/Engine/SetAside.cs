using System.Data.Common;
using Microsoft.Data.Sqlite;
using Microsoft.Extensions.Logging;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Engine;

/// <summary>
/// Runs units of work so that one that fails is set aside and told, and the others go on. What would fail whatever the unit (disk full, no right to write, database locked, no memory) is not caught: it ends the program as
/// before, since going on would set everything aside.
/// </summary>
public sealed class SetAside(Stores stores, TimeProvider clock, ILogger log)
{
    /// <summary>What to do about units that are set aside.</summary>
    public const string Advice = "The rest goes on. Each is tried again when its data change, after a decision about coefficients, after a restart, and on request on the Data page. If it fails again, look at what its orbit has that others have not (coefficients first: another set can be put in force), and report the message.";

    private const int LongestError = 500;

    /// <summary>Runs a unit; false: it failed and is set aside. <paramref name="others"/>: marks that were taken along with it.</summary>
    public async Task<bool> RunAsync(WorkItem item, Func<Task> unit, IReadOnlyList<WorkItem>? others = null)
    {
        ArgumentNullException.ThrowIfNull(item);
        ArgumentNullException.ThrowIfNull(unit);
        try
        {
            await StageMetrics.MeasureAsync(item.Kind, unit).ConfigureAwait(false);
            return true;
        }
        catch (Exception error) when (IsOfTheUnit(error))
        {
            var now = Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);
            foreach (var failed in others ?? [item]) stores.Work.SetAside(new(failed, Text(error), now));
            log.LogError(error, "{Unit} failed and is set aside. {Advice}", Place(item), Advice);
            return false;
        }
    }

    /// <summary>Where a unit belongs: "orbit 812, stage winds".</summary>
    public static string Place(WorkItem item)
    {
        ArgumentNullException.ThrowIfNull(item);
        return item.Kind switch
        {
            WorkKinds.ReadAuxiliary => FormattableString.Invariant($"File {item.Key}, stage {item.Kind}"),
            WorkKinds.Decode or WorkKinds.Retrieve => $"The hour from {Hour.Start(item.Key)}, stage {item.Kind}",
            WorkKinds.ZeroWind => FormattableString.Invariant($"The zero wind of {DateTime.UnixEpoch.AddDays(item.Key):yyyy-MM-dd}, stage {item.Kind}"),
            _ => FormattableString.Invariant($"Orbit {item.Key}, stage {item.Kind}"),
        };
    }

    /// <summary>Orbits of which a part is set aside.</summary>
    public static IReadOnlySet<int> Orbits(IReadOnlyList<SetAsideWork> aside, MissionState mission)
    {
        ArgumentNullException.ThrowIfNull(aside);
        ArgumentNullException.ThrowIfNull(mission);
        return aside.SelectMany(w => w.Item.Kind switch
        {
            WorkKinds.Decode or WorkKinds.Retrieve => mission.Orbits.In(Hour.Start(w.Item.Key), Hour.End(w.Item.Key)).Select(o => o.Number),
            WorkKinds.Orbit or WorkKinds.OrbitAgain or WorkKinds.Winds or WorkKinds.Vectors or WorkKinds.WindUse => [(int)w.Item.Key],
            _ => [],
        }).ToHashSet();
    }

    /// <summary>Whether a failure is of the unit itself: the store's own failures count only where it is about what is stored, not about writing at all.</summary>
    private static bool IsOfTheUnit(Exception error) => error switch
    {
        // What breaks a rule of the schema does so again with the same unit: SQLITE_TOOBIG, CONSTRAINT, MISMATCH, RANGE (sqlite3.h).
        SqliteException { SqliteErrorCode: 18 or 19 or 20 or 25 } => true,
        OperationCanceledException or DbException or IOException or UnauthorizedAccessException or OutOfMemoryException => false,
        StorageException { InnerException: DbException or IOException or UnauthorizedAccessException } => false,
        AggregateException several => several.Flatten().InnerExceptions.All(IsOfTheUnit),
        _ => true,
    };

    private static string Text(Exception error)
    {
        var first = error is AggregateException { InnerExceptions: [var inner, ..] } ? inner : error;
        var text = $"{first.GetType().Name}: {first.Message.ReplaceLineEndings(" ")}";
        return text.Length > LongestError ? text[..LongestError] + "…" : text;
    }
}
