using Phasekeeper.Core.Flags.Life;
using Phasekeeper.Core.Input;
using Phasekeeper.Core.Instrument;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Profile;

/// <summary>
/// Reads profile.json (schema phasekeeper-profile/1, contract.md section 2). Text in, profile out; every mistake of the file is
/// reported together. The files that the profile names are opened by the caller.
/// </summary>
public static class MissionProfileReader
{
    /// <summary>The schema that this reader understands.</summary>
    public const string Schema = "phasekeeper-profile/1";

    /// <summary>The profile, or null with all mistakes added to <paramref name="errors"/>.</summary>
    public static MissionProfile? Read(string text, string file, List<InputError> errors)
    {
        var before = errors.Count;
        var root = JsonInput.Open(text, file, errors);
        if (root is null) return null;

        root.Word("schema", null, Schema);
        var craft = root.Object("spacecraft");
        var spacecraft = craft?.Text("name");
        var catalogNumber = craft?.Whole("catalogNumber", 0, 999_999_999, 0) ?? 0;
        var revolutionOffset = craft?.Whole("revolutionOffset", -1_000_000, 1_000_000, 0) ?? 0;
        craft?.End();

        var (spanStart, spanEnd) = ReadSpan(root);
        var live = root.Truth("live", false);
        var packets = ReadPackets(root.Object("packets"));
        var fringe = ReadFringe(root.Object("fringe", required: false));
        var withFringe = root.Has("fringe");
        var orbitFile = root.FileName("orbit", required: withFringe);
        var attitude = root.FileName("attitude", required: false);
        var instrument = InstrumentReader.Read(root.Object("instrument", required: withFringe));
        var roles = root.Object("roles", required: withFringe);
        var interferometer = roles?.Text("interferometerTemperature", required: withFringe);
        var bench = roles?.Text("benchTemperature", required: false);
        var detector = roles?.Text("detectorTemperature", required: false);
        roles?.End();
        var coefficients = root.FileName("coefficients", required: withFringe);
        var cadence = root.Object("cadence", required: false);
        var sceneSeconds = cadence?.Number("sceneSeconds", 0, 86400, 0) ?? 0;
        var lampSeconds = cadence?.Number("lampSeconds", 0, 864000, 0) ?? 0;
        cadence?.End();
        var rules = root.FileName("rules", required: false);
        var activities = root.FileName("activities", required: false);
        var causes = ReadCauses(root);
        var kinds = ActivityKindsReader.Read(root);
        root.End();

        if (errors.Count > before) return null;
        return new MissionProfile
        {
            Spacecraft = spacecraft!,
            CatalogNumber = catalogNumber,
            RevolutionOffset = revolutionOffset,
            SpanStart = spanStart,
            SpanEnd = spanEnd,
            Live = live,
            OrbitFile = orbitFile,
            AttitudeFile = attitude == "nominal" ? null : attitude,
            Packets = packets!,
            Fringe = fringe,
            Instrument = instrument,
            InterferometerTemperature = interferometer,
            BenchTemperature = bench,
            DetectorTemperature = detector,
            CoefficientsFile = coefficients,
            SceneSeconds = sceneSeconds,
            LampSeconds = lampSeconds,
            RulesFile = rules,
            ActivitiesFile = activities,
            FlagCauses = causes,
            ActivityKinds = kinds,
        };
    }

    private static IReadOnlyList<string> ReadCauses(JsonObjectReader root)
    {
        const string key = "flagCauses";
        if (!root.Has(key)) return FlagCauses.Default;
        var mistakes = root.ErrorCount;
        var list = root.Texts(key);
        if (root.ErrorCount > mistakes) return list;
        if (list.Count is 0 or > FlagCauses.Most) root.Error(key, $"{list.Count} causes", $"a list of 1 to {FlagCauses.Most} causes, or no such key for the usual ones");
        for (var i = 0; i < list.Count; i++)
            if (FlagCauses.Mistake(list, i) is { } expected) root.Error($"{key}[{i}]", $"\"{list[i]}\"", expected);
        return list;
    }

    private static (Instant Start, Instant End) ReadSpan(JsonObjectReader root)
    {
        var texts = root.Texts("missionSpan", required: false, length: 2);
        var start = Instant.FromUtc(1990, 1, 1);
        var end = Instant.FromUtc(2100, 1, 1);
        if (texts.Count == 0) return (start, end);
        const string expected = "two times in ISO 8601 UTC, the earlier first";
        if (!Instant.TryParseUtc(texts[0], out start)) root.Error("missionSpan[0]", $"\"{texts[0]}\"", expected);
        if (!Instant.TryParseUtc(texts[1], out end)) root.Error("missionSpan[1]", $"\"{texts[1]}\"", expected);
        else if (end <= start) root.Error("missionSpan", $"an end {end} that is not after the start {start}", expected);
        return (start, end);
    }

    private static PacketSettings? ReadPackets(JsonObjectReader? packets)
    {
        if (packets is null) return null;
        var definition = packets.FileName("definition");
        var crc = packets.Word("checksum", "none", "crc16", "none") == "crc16";
        var time = packets.Object("time");
        PacketTimeSettings? settings = null;
        if (time is not null)
        {
            var cds = time.Word("code", null, "cds", "cuc") == "cds";
            var epoch = time.Time("epoch", required: false);
            var scale = time.Word("scale", cds ? "utc" : "tai", "utc", "tai", "gps");
            settings = new PacketTimeSettings
            {
                IsCds = cds,
                Day = cds ? time.Text("day") : null,
                Millisecond = cds ? time.Text("millisecond") : null,
                Microsecond = cds ? time.Text("microsecond", required: false) : null,
                Coarse = cds ? null : time.Text("coarse"),
                Fine = cds ? null : time.Text("fine", required: false),
                FineBits = !cds && time.Has("fine") ? time.Whole("fineBits", 1, 56) : 0,
                // The epoch is a calendar reading in the code's own scale, so it is kept as one; CCSDS 301.0-B-4 uses 1958-01-01.
                Epoch = epoch?.ToDateTimeUtc() ?? new DateTime(1958, 1, 1, 0, 0, 0, DateTimeKind.Utc),
                Scale = scale switch { "tai" => TimeScale.Tai, "gps" => TimeScale.Gps, _ => TimeScale.Utc },
            };
            time.End();
        }
        packets.End();
        return settings is null ? null : new PacketSettings { DefinitionFile = definition ?? "", Crc16 = crc, Time = settings };
    }

    private static FringeSettings? ReadFringe(JsonObjectReader? fringe)
    {
        if (fringe is null) return null;
        var settings = new FringeSettings
        {
            Container = fringe.Text("container") ?? "",
            Exposure = fringe.Text("exposure") ?? "",
            Kind = fringe.Text("kind") ?? "",
            View = fringe.Text("view") ?? "",
            Line = fringe.Text("line") ?? "",
            Row = fringe.Text("row") ?? "",
            Integration = fringe.Text("integration") ?? "",
            Samples = fringe.Text("samples") ?? "",
            TimeTag = fringe.Word("timeTag", "middle", "middle", "start", "end") switch
            {
                "start" => TimeTag.Start,
                "end" => TimeTag.End,
                _ => TimeTag.Middle,
            },
        };
        fringe.End();
        return settings;
    }
}
