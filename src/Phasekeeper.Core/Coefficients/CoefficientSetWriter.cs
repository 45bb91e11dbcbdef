using System.Text.Json;
using System.Text.Json.Nodes;

namespace Phasekeeper.Core.Coefficients;

/// <summary>Writes a set as the contract's JSON. Flat fields are written beside it; <c>flatName</c> gives their file names.</summary>
public static class CoefficientSetWriter
{
    private static readonly JsonSerializerOptions Indented = new() { WriteIndented = true };

    /// <summary>The JSON text; reading it back with the flats gives an equal set (numbers round-trip exactly).</summary>
    public static string Write(CoefficientSet set, Func<OpticsCoefficients, string?> flatName)
    {
        var root = new JsonObject
        {
            ["schema"] = CoefficientSetReader.Schema,
            ["name"] = set.Name,
            ["validFrom"] = set.ValidFrom.ToString(),
            ["dark"] = new JsonObject
            {
                ["biasCounts"] = set.Dark.BiasCounts,
                ["rateElectronsPerS"] = set.Dark.RateElectronsPerS,
                ["referenceC"] = set.Dark.ReferenceC,
                ["doublingK"] = set.Dark.DoublingK,
            },
            ["optics"] = new JsonArray(set.Optics.Select(o => (JsonNode)WriteOptics(o, flatName(o))).ToArray()),
            ["imageShift"] = new JsonArray(set.ImageShift.Select(s => (JsonNode)new JsonObject
            {
                ["view"] = s.View,
                ["samplesPerK"] = s.SamplesPerK,
                ["referenceC"] = s.ReferenceC,
                ["offsetSamples"] = s.OffsetSamples,
            }).ToArray()),
            ["badSamples"] = new JsonArray(set.BadSamples.Select(b => (JsonNode)new JsonObject
            {
                ["view"] = b.View,
                ["line"] = b.Line,
                ["row"] = b.Row,
                ["sample"] = b.Sample,
            }).ToArray()),
        };
        return root.ToJsonString(Indented);
    }

    private static JsonObject WriteOptics(OpticsCoefficients o, string? flat)
    {
        var json = new JsonObject { ["view"] = o.View, ["line"] = o.Line };
        if (flat is not null) json["flat"] = flat;
        json["distortionRad"] = new JsonArray(o.DistortionRad.Select(row => (JsonNode)Numbers(row)).ToArray());
        json["zeroWindRad"] = Numbers(o.ZeroWindRad);
        json["visibility"] = o.Visibility;
        json["envelope"] = Numbers([o.EnvelopeM1, o.EnvelopeM2]);
        json["thermal"] = new JsonObject { ["radPerK"] = o.Thermal.RadPerK, ["lagS"] = o.Thermal.LagS, ["referenceC"] = o.Thermal.ReferenceC };
        json["lampRatio"] = o.LampRatio;
        json["lampPhaseRad"] = o.LampPhaseRad;
        json["lampElectrons"] = o.LampElectrons;
        json["lampVisibility"] = o.LampVisibility;
        return json;
    }

    private static JsonArray Numbers(double[] values) => new(values.Select(v => (JsonNode)v).ToArray());
}
