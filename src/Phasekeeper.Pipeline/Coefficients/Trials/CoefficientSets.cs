using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Instrument;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Coefficients.Trials;

/// <summary>Sets to be tried.</summary>
internal static class CoefficientSets
{
    /// <summary>Number of a set that is not stored.</summary>
    public const long NotStored = 0;

    /// <summary>A stored set.</summary>
    /// <exception cref="DecisionRefusedException">There is none with this number.</exception>
    public static CoefficientsInForce Stored(Stores stores, InstrumentModel instrument, long id)
    {
        var row = stores.Coefficients.Get(id) ?? throw new DecisionRefusedException(RefusalKind.Missing, $"There is no coefficient set with the number {id}.");
        return new(Instant.MinValue, id, CoefficientPackage.Read(row.Json, instrument, row.Name), row.Hash);
    }

    /// <summary>A set that is not stored.</summary>
    public static CoefficientsInForce New(CoefficientSet set) => new(Instant.MinValue, NotStored, set, CoefficientStore.HashOf(CoefficientPackage.Write(set)));
}
