using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;

namespace Phasekeeper.Pipeline.Assessment;

/// <summary>A chart's state with the moment from which the reference counts that it belongs to, as bytes and back, bit for bit.</summary>
public static class ChartStateCodec
{
    /// <summary>Name of the layout and of the charts' arithmetic: stored states of another name are not used. To be raised with every change of either.</summary>
    public const string Version = "charts/1";

    /// <summary>Bytes of a state. <paramref name="reference"/>: from when its coefficient set counts.</summary>
    public static byte[] Write(Instant reference, SeriesChartState state)
    {
        using var stream = new MemoryStream();
        using var writer = new BinaryWriter(stream);
        writer.Write(reference.TaiNanoseconds);
        writer.Write(state.Count);
        writer.Write(state.Z);
        writer.Write(state.CusumHigh);
        writer.Write(state.CusumLow);
        writer.Write(state.WildRow);
        writer.Write(state.IsCalm);
        writer.Write(state.Complete);
        writer.Write(state.Baseline is not null);
        if (state.Baseline is { } b)
        {
            writer.Write(b.Centre);
            writer.Write(b.Spread);
            writer.Write(b.Autocorrelation);
            writer.Write(b.TypicalSigma);
            writer.Write(b.Orbits);
        }
        writer.Write(state.Recent.Count);
        foreach (var value in state.Recent) writer.Write(value);
        writer.Write(state.Calm.Count);
        foreach (var (value, sigma) in state.Calm)
        {
            writer.Write(value);
            writer.Write(sigma);
        }
        writer.Flush();
        return stream.ToArray();
    }

    /// <summary>The state of some bytes.</summary>
    public static (Instant Reference, SeriesChartState State) Read(byte[] bytes)
    {
        using var reader = new BinaryReader(new MemoryStream(bytes));
        var reference = new Instant(reader.ReadInt64());
        var state = new SeriesChartState
        {
            Count = reader.ReadInt32(),
            Z = reader.ReadDouble(),
            CusumHigh = reader.ReadDouble(),
            CusumLow = reader.ReadDouble(),
            WildRow = reader.ReadInt32(),
            IsCalm = reader.ReadBoolean(),
            Complete = reader.ReadBoolean(),
            Baseline = reader.ReadBoolean() ? new(reader.ReadDouble(), reader.ReadDouble(), reader.ReadDouble(), reader.ReadDouble(), reader.ReadInt32()) : null,
            Recent = ReadMany(reader, r => r.ReadDouble()),
            Calm = ReadMany(reader, r => (r.ReadDouble(), r.ReadDouble())),
        };
        return (reference, state);
    }

    private static T[] ReadMany<T>(BinaryReader reader, Func<BinaryReader, T> one)
    {
        var values = new T[reader.ReadInt32()];
        for (var i = 0; i < values.Length; i++) values[i] = one(reader);
        return values;
    }
}
