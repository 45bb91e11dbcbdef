using System.Globalization;
using Phasekeeper.Core.Orbits.Sgp4;
using Phasekeeper.Core.Text;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Orbits;

/// <summary>
/// Mean elements of one satellite, propagated by SGP4: at each moment the set with the nearest epoch (the earlier of two equally near ones), not farther
/// than <see cref="ReachSeconds"/>. States jump by up to kilometres where one set takes over from another.
/// </summary>
public sealed class MeanElementsEphemeris : IEphemeris
{
    /// <summary>How far from its epoch a set is used, s: 3 days (contract.md section 1).</summary>
    public const double ReachSeconds = 3 * 86400.0;

    private readonly Sgp4Propagator[] _sets;

    /// <summary>Sets of one satellite in any order; of several with the same epoch the last one counts.</summary>
    public MeanElementsEphemeris(IEnumerable<MeanElements> sets)
    {
        _sets = sets.GroupBy(s => s.Epoch).Select(g => g.Last()).OrderBy(s => s.Epoch).Select(s => new Sgp4Propagator(s)).ToArray();
        if (_sets.Length == 0) throw new ArgumentException("Found no element set; expected at least one.", nameof(sets));
        Coverage = TimeStretch.Union(_sets.Select(s => new TimeStretch(s.Elements.Epoch.AddSeconds(-ReachSeconds), s.Elements.Epoch.AddSeconds(ReachSeconds))));
    }

    /// <inheritdoc/>
    public EphemerisKind Kind => EphemerisKind.MeanElements;

    /// <inheritdoc/>
    public Instant Start => Coverage[0].Start;

    /// <inheritdoc/>
    public Instant End => Coverage[^1].End;

    /// <inheritdoc/>
    public IReadOnlyList<TimeStretch> Coverage { get; }

    /// <summary>The sets, in order of epoch.</summary>
    public IEnumerable<MeanElements> Sets => _sets.Select(s => s.Elements);

    /// <inheritdoc/>
    public bool TryGetState(Instant time, out OrbitState state) => TryGetState(time, out state, out _);

    /// <summary>As <see cref="TryGetState(Instant, out OrbitState)"/>, with the reason when covered elements give no state (e.g. decayed).</summary>
    public bool TryGetState(Instant time, out OrbitState state, out Sgp4Error error)
    {
        state = default;
        error = Sgp4Error.None;
        var set = Nearest(time);
        if (Math.Abs(time - set.Elements.Epoch) > ReachSeconds) return false;
        error = set.TryPropagate(time, out state);
        return error == Sgp4Error.None;
    }

    private Sgp4Propagator Nearest(Instant time)
    {
        int low = 0, high = _sets.Length;
        while (low < high)
        {
            var middle = (low + high) / 2;
            if (_sets[middle].Elements.Epoch <= time) low = middle + 1;
            else high = middle;
        }
        if (low == 0) return _sets[0];
        if (low == _sets.Length) return _sets[^1];
        return time - _sets[low - 1].Elements.Epoch <= _sets[low].Elements.Epoch - time ? _sets[low - 1] : _sets[low];
    }

    /// <summary>The sets of the wanted satellite, or what is wrong with the file.</summary>
    internal static ReadResult<MeanElementsEphemeris> Select(FileErrors errors, List<MeanElements> sets, int catalogNumber)
    {
        var numbers = sets.Select(s => s.CatalogNumber).Distinct().Order().ToList();
        var shown = string.Join(", ", numbers.Take(5).Select(n => n.ToString(CultureInfo.InvariantCulture))) + (numbers.Count > 5 ? ", …" : "");
        if (sets.Count > 0 && catalogNumber == 0 && numbers.Count > 1)
            errors.Add(0, $"sets of {numbers.Count} satellites ({shown})", "one satellite, or spacecraft.catalogNumber in the profile to choose it");
        var wanted = catalogNumber == 0 ? sets : sets.Where(s => s.CatalogNumber == catalogNumber || s.CatalogNumber == 0).ToList();
        if (sets.Count > 0 && wanted.Count == 0)
            errors.Add(0, $"catalogue number {shown}", $"{catalogNumber.ToString(CultureInfo.InvariantCulture)}, as spacecraft.catalogNumber in the profile says");
        return errors.Result(() => new MeanElementsEphemeris(wanted));
    }
}
