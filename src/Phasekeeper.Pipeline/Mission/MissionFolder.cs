using System.Security.Cryptography;
using System.Text;
using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Input;
using Phasekeeper.Core.Orbits.Files;
using Phasekeeper.Core.Profile;
using Phasekeeper.Core.Text;
using Phasekeeper.Packets.Decoding;
using Phasekeeper.Pipeline.Activities;

namespace Phasekeeper.Pipeline.Mission;

/// <summary>A file of the profile folder that takes the same road as one that arrives later.</summary>
public sealed record ProfileFile(string Name, byte[] Content);

/// <summary>A mission profile folder, read and checked whole.</summary>
public sealed record MissionFolder
{
    /// <summary>Name of the profile inside its folder.</summary>
    public const string ProfileName = "profile.json";

    /// <summary>Full path of the folder.</summary>
    public required string Path { get; init; }
    /// <summary>SHA-256 of each of its texts that is read anew at every start, by file name.</summary>
    public required IReadOnlyDictionary<string, string> Digests { get; init; }
    /// <summary>The profile.</summary>
    public required MissionProfile Profile { get; init; }
    /// <summary>Its telemetry definition, compiled.</summary>
    public required DecodingPlan Plan { get; init; }
    /// <summary>The first coefficient set; null for housekeeping only.</summary>
    public CoefficientSet? GroundSet { get; init; }
    /// <summary>The flag rules.</summary>
    public required RuleSet Rules { get; init; }
    /// <summary>The orbit file; null when there is none.</summary>
    public ProfileFile? Orbit { get; init; }
    /// <summary>The attitude file; null when the attitude is nominal.</summary>
    public ProfileFile? Attitude { get; init; }
    /// <summary>Planned activities; null when there are none.</summary>
    public ProfileFile? Activities { get; init; }

    /// <summary>Reads a folder.</summary>
    /// <exception cref="InputException">Something in it is wrong; names every mistake of every file that could be read.</exception>
    public static MissionFolder Load(string path)
    {
        var folder = System.IO.Path.GetFullPath(path);
        var errors = new List<InputError>();
        var text = ReadText(folder, ProfileName, errors);
        var profile = text is null ? null : MissionProfileReader.Read(text, ProfileName, errors);
        if (profile is null) throw new InputException(errors);

        var plan = ReadPlan(folder, profile, errors);
        var ground = ReadGroundSet(folder, profile, errors);
        var rules = ReadRules(folder, profile, errors);
        var orbit = ReadFile(folder, profile.OrbitFile, errors);
        var attitude = ReadFile(folder, profile.AttitudeFile, errors);
        var activities = ReadFile(folder, profile.ActivitiesFile, errors);
        CheckFiles(profile, orbit, attitude, activities, errors);
        if (plan is not null) CheckRoles(profile, plan, errors);
        if (errors.Count > 0) throw new InputException(errors);
        return new MissionFolder
        {
            Path = folder,
            Digests = DigestsOf(folder, ProfileName, profile.Packets.DefinitionFile),
            Profile = profile,
            Plan = plan!,
            GroundSet = ground,
            Rules = rules!,
            Orbit = orbit,
            Attitude = attitude,
            Activities = activities,
        };
    }

    private static SortedDictionary<string, string> DigestsOf(string folder, params string[] names)
    {
        var digests = new SortedDictionary<string, string>(StringComparer.Ordinal);
        foreach (var name in names) digests[name] = Convert.ToHexStringLower(SHA256.HashData(File.ReadAllBytes(System.IO.Path.Combine(folder, name))));
        return digests;
    }

    private static DecodingPlan? ReadPlan(string folder, MissionProfile profile, List<InputError> errors)
    {
        var name = profile.Packets.DefinitionFile;
        if (ReadText(folder, name, errors) is not { } text) return null;
        if (DecodingPlan.TryCompile(text, profile.Packets, profile.Fringe, out var plan, out var mistakes)) return plan;
        errors.AddRange(mistakes.Select(m => new InputError(name, m.Line > 0 ? $"line {m.Line}, <{m.Element}>" : m.Element, m.Message)));
        return null;
    }

    private static CoefficientSet? ReadGroundSet(string folder, MissionProfile profile, List<InputError> errors)
    {
        if (profile.CoefficientsFile is not { } name || profile.Instrument is not { } instrument) return null;
        if (ReadText(folder, name, errors) is not { } text) return null;
        return CoefficientSetReader.Read(text, name, instrument, file => TryReadText(System.IO.Path.Combine(folder, file)), errors);
    }

    private static RuleSet? ReadRules(string folder, MissionProfile profile, List<InputError> errors)
    {
        if (profile.RulesFile is not { } name)
            return DefaultRules.For([.. new[] { profile.InterferometerTemperature, profile.BenchTemperature, profile.DetectorTemperature }.OfType<string>()]);
        if (ReadText(folder, name, errors) is not { } text) return null;
        try
        {
            return RuleSetReader.Read(text, name);
        }
        catch (RuleSetException e)
        {
            errors.AddRange(e.Errors.Select(m => new InputError(name, m.Path, m.Message)));
            return null;
        }
    }

    // They are read again on the road of files that arrive; a mistake in one that the profile names is told before anything starts.
    private static void CheckFiles(MissionProfile profile, ProfileFile? orbit, ProfileFile? attitude, ProfileFile? activities, List<InputError> errors)
    {
        if (orbit is not null) errors.AddRange(AuxiliaryReader.MistakesOfOrbit(orbit.Name, AuxiliaryReader.Text(orbit.Content), profile).Select(Of));
        if (attitude is not null) errors.AddRange(AemFile.Read(attitude.Name, AuxiliaryReader.Text(attitude.Content)).Errors.Select(Of));
        if (activities is null) return;
        try
        {
            ActivityFile.Read(AuxiliaryReader.Text(activities.Content), activities.Name, profile.SpanStart, profile.SpanEnd, profile.ActivityKinds);
        }
        catch (ActivityFileException e)
        {
            errors.AddRange(e.Errors.Select(m => new InputError(activities.Name, $"line {m.Line}", m.Message)));
        }
    }

    private static InputError Of(FileError e) => new(e.File, e.Line > 0 ? $"line {e.Line}" : "the file", e.Found, e.Expected.TrimEnd('.'));

    private static void CheckRoles(MissionProfile profile, DecodingPlan plan, List<InputError> errors)
    {
        foreach (var (role, name) in new[]
        {
            ("interferometerTemperature", profile.InterferometerTemperature), ("benchTemperature", profile.BenchTemperature),
            ("detectorTemperature", profile.DetectorTemperature),
        })
            if (name is not null && plan.Channels.All(c => c.Name != name))
                errors.Add(new(ProfileName, $"$.roles.{role}", $"\"{name}\", which {profile.Packets.DefinitionFile} does not define as a numeric parameter",
                    "the name of a telemetry parameter in degrees Celsius"));
    }

    private static ProfileFile? ReadFile(string folder, string? name, List<InputError> errors)
    {
        if (name is null) return null;
        var file = System.IO.Path.Combine(folder, name);
        if (File.Exists(file)) return new ProfileFile(name, File.ReadAllBytes(file));
        errors.Add(Missing(folder, name));
        return null;
    }

    private static string? ReadText(string folder, string name, List<InputError> errors)
    {
        if (TryReadText(System.IO.Path.Combine(folder, name)) is { } text) return text;
        errors.Add(Missing(folder, name));
        return null;
    }

    private static string? TryReadText(string file) => File.Exists(file) ? File.ReadAllText(file, Encoding.UTF8) : null;

    private static InputError Missing(string folder, string name) => new(name, $"folder {folder}", "no such file", "a file that the profile names, in the profile's folder");
}
