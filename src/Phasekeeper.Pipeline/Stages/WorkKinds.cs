using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Stages;

/// <summary>Kinds of work marks, in the order of the data's way. The store's queue keeps them; the engine runs them.</summary>
public static class WorkKinds
{
    /// <summary>Read an orbit, attitude or activity file; key = its id.</summary>
    public const string ReadAuxiliary = WorkQueue.ReadAuxiliary;
    /// <summary>Decode an hour's packets into telemetry, stream checks and claims of exposures; key = hour.</summary>
    public const string Decode = WorkQueue.DecodeHour;
    /// <summary>Retrieve the fringes of an hour; key = hour.</summary>
    public const string Retrieve = "retrieveHour";
    /// <summary>
    /// Priority of a <see cref="Retrieve"/> mark whose hour may have other rows than before; a mark without it says that only conditions (temperatures, motion,
    /// coefficients) may have changed, and then rows need not be read. It also takes the hour that was just decoded before its neighbours.
    /// </summary>
    public const long RowsChanged = 1;
    /// <summary>Compute an orbit whose own data changed; key = orbit.</summary>
    public const string Orbit = "orbit";
    /// <summary>Compute an orbit again because one within reach changed; key = orbit.</summary>
    public const string OrbitAgain = "orbitAgain";
    /// <summary>
    /// Priority of an <see cref="OrbitAgain"/> mark whose orbit leans on the changed one by smoothing or thermal lag, so that its winds may change; a mark without it
    /// leans by a baseline of recent values alone.
    /// </summary>
    public const long WithinReach = 1;
    /// <summary>Winds along the line of sight of an orbit; key = orbit.</summary>
    public const string Winds = "winds";
    /// <summary>Wind vectors of an orbit, and the trackers that follow from winds; key = orbit.</summary>
    public const string Vectors = "vectors";
    /// <summary>Condense an orbit's winds for the zero wind and lay them beside independent winds; key = orbit.</summary>
    public const string WindUse = "windUse";
    /// <summary>Zero wind of the weeks before a UTC day; key = days since 1970-01-01.</summary>
    public const string ZeroWind = "zeroWind";
    /// <summary>Take up a decision that puts a coefficient set in force; key = its id.</summary>
    public const string TakeUpDecision = "takeUpDecision";
    /// <summary>Take up a planned activity that a person entered, changed or cancelled; key = the version's id.</summary>
    public const string TakeUpActivity = ActivityStore.TakeUp;
    /// <summary>Take up a version of the flag rules: the orbits that it judges are assessed again; key = its number.</summary>
    public const string TakeUpRules = "takeUpRules";
    /// <summary>Orbits wait to be made again with the set in force (<see cref="ReprocessingStore"/> says which); key = 0. Absent while a person holds it.</summary>
    public const string Reprocess = "reprocess";
    /// <summary>Priority of an <see cref="Assess"/> mark that only winds ask for: it waits until no winds are left to be made.</summary>
    public const long AfterWinds = -1;
    /// <summary>Bring statistics, flags and verdicts in line with an orbit's new values; key = orbit.</summary>
    public const string Assess = "assess";
}
