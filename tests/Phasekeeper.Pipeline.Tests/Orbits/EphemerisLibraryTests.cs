using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Orbits;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Orbits;

namespace Phasekeeper.Pipeline.Tests.Orbits;

public class EphemerisLibraryTests
{
    private static readonly Instant Noon = Instant.FromUtc(2031, 4, 10, 12);

    [Fact]
    public void A_definitive_file_beats_a_prediction_whatever_the_order()
    {
        var predicted = File("aa", "predicted", Noon.AddSeconds(-86400));
        var definitive = File("bb", "definitive", Noon.AddSeconds(86400));

        Assert.Equal("definitive", Best(predicted, definitive));
        Assert.Equal("definitive", Best(definitive, predicted));
    }

    [Fact]
    public void Tabulated_states_beat_mean_elements_and_newer_beats_older()
    {
        var elements = File("aa", "elements", Noon.AddSeconds(-100), EphemerisKind.MeanElements);
        var older = File("bb", "older", Noon.AddSeconds(-90000));
        var newer = File("cc", "newer", Noon.AddSeconds(-80000));

        Assert.Equal("newer", Best(elements, older, newer));
        Assert.Equal("older", Best(elements, older));
    }

    [Fact]
    public void Definitive_mean_elements_beat_a_predicted_table()
    {
        var table = File("aa", "table", Noon.AddSeconds(-1));
        var elements = File("bb", "elements", Noon.AddSeconds(1), EphemerisKind.MeanElements);
        Assert.Equal("elements", Best(table, elements));
    }

    [Fact]
    public void No_file_is_used_beyond_its_span()
    {
        var library = new EphemerisLibrary([File("aa", "only", null)]);
        Assert.False(library.TryGetState(Noon.AddSeconds(7201), out _, out _));
        Assert.True(library.TryGetState(Noon.AddSeconds(7200), out _, out _));
        Assert.False(EphemerisLibrary.Empty.TryGetState(Noon, out _, out _));
    }

    private static string Best(params EphemerisFile[] files)
    {
        Assert.True(new EphemerisLibrary(files).TryGetState(Noon, out _, out var file));
        return file.Name;
    }

    private static EphemerisFile File(string hash, string name, Instant? made, EphemerisKind kind = EphemerisKind.Oem) =>
        new(1, name, hash, made, OutlinedEphemeris.Of(new Fixed(kind, Noon.AddSeconds(-7200), Noon.AddSeconds(7200)), () => throw new InvalidOperationException("It is in memory."), new(1)));

    private sealed record Fixed(EphemerisKind Kind, Instant Start, Instant End) : IEphemeris
    {
        public bool TryGetState(Instant time, out OrbitState state)
        {
            state = new OrbitState(new Vec3(7e6, 0, 0), new Vec3(0, 7.5e3, 0));
            return time >= Start && time <= End;
        }
    }
}
