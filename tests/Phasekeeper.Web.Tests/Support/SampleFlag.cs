using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Assessment;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Tests.Support;

/// <summary>A flag for pages and calls about flags: a thermal residual of view F, green, on one orbit.</summary>
public static class SampleFlag
{
    /// <summary>Puts it into the store, raised by the rules.</summary>
    public static async Task<Flag> RaiseAsync(WebHost host, int orbit, Instant from, FlagEvidence evidence, FlagThing? about = null, string kind = "thermal-residual", string unit = "m/s")
    {
        var thing = about ?? new FlagThing("thermal-residual", "thermal-residual-wind", "F", "green");
        var flag = new Flag
        {
            Id = FlagId.Of(thing, orbit),
            Thing = thing,
            RuleKind = kind,
            RuleVersion = "1-abcdef",
            Severity = FlagSeverity.Warning,
            State = FlagState.Raised,
            From = from,
            To = from.AddSeconds(5760),
            FirstOrbit = orbit,
            LastOrbit = orbit,
            Value = 7.5,
            Limit = 5,
            Unit = unit,
            Message = about is null ? "Thermal residual, view F, green, was 7.5 m/s." : $"{thing.Words()} of orbit {orbit} was 7.5.",
            Evidence = evidence,
        };
        await host.Stores.Database.WriteAsync(t => FlagStore.Put(t, FlagJson.Row(flag, from, from), "raise", "rules"));
        return flag;
    }
}
