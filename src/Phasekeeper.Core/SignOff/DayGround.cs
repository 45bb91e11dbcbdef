using System.Security.Cryptography;
using System.Text.Json;

namespace Phasekeeper.Core.SignOff;

/// <summary>An orbit as a sign-off rests on it.</summary>
/// <param name="Orbit">Number.</param>
/// <param name="ReceivedExposures">Exposures that arrived.</param>
/// <param name="ReceivedRows">Rows that arrived.</param>
/// <param name="CoefficientSet">Coefficient set of its products.</param>
/// <param name="Held">True when a person holds it by itself.</param>
/// <param name="WindValues">Winds along the line of sight, rows of all profiles.</param>
/// <param name="Winds">Beginnings (8 bytes each) of the fingerprints of its wind profiles, one after the other, in order: two profiles with equal fingerprints have equal values.</param>
public sealed record GroundOrbit(int Orbit, int ReceivedExposures, int ReceivedRows, long? CoefficientSet, bool Held, int WindValues, byte[] Winds);

/// <summary>A flag as a sign-off rests on it.</summary>
/// <param name="Id">Id.</param>
/// <param name="Severity">notice | warning | critical.</param>
/// <param name="State">open, explained or settled: who has it does not matter.</param>
/// <param name="Message">Its sentence; not compared, since its numbers move with every orbit of a long flag.</param>
public sealed record GroundFlag(string Id, string Severity, string State, string Message);

/// <summary>What a day's sign-off rests on. It is kept with the sign-off and compared with what is there later (<see cref="DayChanges"/>).</summary>
/// <param name="Orbits">Orbits that begin on the day, in order.</param>
/// <param name="Flags">Flags that stand, by id.</param>
/// <param name="Proposed">Verdict that the system proposes.</param>
/// <param name="Reasons">Codes of its reasons, in order; without <see cref="DayJudge.ProvisionalCode"/>, which goes by itself.</param>
/// <param name="SignOffs">Number of sign-offs of the day so far.</param>
public sealed record DayGround(IReadOnlyList<GroundOrbit> Orbits, IReadOnlyList<GroundFlag> Flags, string Proposed, IReadOnlyList<string> Reasons, long SignOffs)
{
    private const int KeyBytes = 12;
    private static readonly JsonSerializerOptions Options = new() { PropertyNamingPolicy = JsonNamingPolicy.CamelCase };

    /// <summary>Names this ground: equal grounds have equal keys.</summary>
    public string Key() => Convert.ToHexStringLower(SHA256.HashData(JsonSerializer.SerializeToUtf8Bytes(this with { Flags = [.. Flags.Select(f => f with { Message = "" })] }, Options))[..KeyBytes]);

    /// <summary>JSON, to be kept.</summary>
    public byte[] ToJson() => JsonSerializer.SerializeToUtf8Bytes(this, Options);

    /// <summary>From <see cref="ToJson"/>.</summary>
    /// <exception cref="JsonException">The bytes are no such JSON.</exception>
    public static DayGround FromJson(byte[] json) => JsonSerializer.Deserialize<DayGround>(json, Options) ?? throw new JsonException("Found null; expected the ground of a sign-off.");
}
