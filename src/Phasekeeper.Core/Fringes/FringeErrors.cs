using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Instrument;

namespace Phasekeeper.Core.Fringes;

/// <summary>All failures of the fringe retrieval, in one place.</summary>
internal static class FringeErrors
{
    public static ArgumentException UnknownLine(string line, IEnumerable<string> known) =>
        new($"Line '{line}' is not in the instrument, which has {string.Join(", ", known)}. Use one of these ids.");

    public static ArgumentException NoOptics(string set, string view, string line) =>
        new($"Coefficient set '{set}' has no optics for view '{view}', line '{line}'. Add an entry for them under optics.");

    /// <summary>Checks the flat field and zero wind of a set against the detector.</summary>
    public static void CheckSizes(string set, OpticsCoefficients optics, InstrumentModel instrument)
    {
        var where = $"Coefficient set '{set}', view '{optics.View}', line '{optics.Line}'";
        if (instrument.Samples < 2) throw new ArgumentException($"The instrument has {instrument.Samples} samples a row; at least 2 are needed.");
        if (optics.ZeroWindRad.Length != instrument.Rows)
            throw new ArgumentException($"{where}: zeroWindRad has {optics.ZeroWindRad.Length} values, expected {instrument.Rows}, one a detector row.");
        if (optics.Flat is not { } flat) return;
        if (flat.Length != instrument.Rows)
            throw new ArgumentException($"{where}: the flat field has {flat.Length} rows, expected {instrument.Rows}.");
        for (var r = 0; r < flat.Length; r++)
            if (flat[r].Length != instrument.Samples)
                throw new ArgumentException($"{where}: row {r} of the flat field has {flat[r].Length} samples, expected {instrument.Samples}.");
    }

    /// <summary>Checks that a frame is of this view, line and detector.</summary>
    public static void CheckFrame(FringeFrame frame, string view, string line, InstrumentModel instrument, int motions)
    {
        if (frame.View != view || frame.Line != line)
            throw new ArgumentException($"Exposure {frame.Exposure} is of view '{frame.View}', line '{frame.Line}'; this retrieval is prepared for '{view}', '{line}'.");
        if (frame.Rows.Length != instrument.Rows)
            throw new ArgumentException($"Exposure {frame.Exposure}: {frame.Rows.Length} rows, expected {instrument.Rows}, null where a row is missing.");
        for (var r = 0; r < frame.Rows.Length; r++)
            if (frame.Rows[r] is { } counts && counts.Length != instrument.Samples)
                throw new ArgumentException($"Exposure {frame.Exposure}, row {r}: {counts.Length} samples, expected {instrument.Samples}.");
        if (frame.Kind == ExposureKind.Scene && motions != instrument.Rows)
            throw new ArgumentException($"Exposure {frame.Exposure} is a scene: {motions} motions given, expected {instrument.Rows}, one a row in m/s.");
    }
}
