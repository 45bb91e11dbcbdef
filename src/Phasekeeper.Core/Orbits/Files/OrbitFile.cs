using Phasekeeper.Core.Text;

namespace Phasekeeper.Core.Orbits.Files;

/// <summary>Reads an orbit file of any kind that a mission may use (contract.md section 2): .oem, .omm (KVN or XML), .tle.</summary>
public static class OrbitFile
{
    /// <summary>
    /// Reads a file by the ending of its name. <paramref name="catalogNumber"/> chooses the satellite among mean elements; 0 = the file holds only one.
    /// </summary>
    public static ReadResult<IEphemeris> Read(string file, string text, int catalogNumber = 0)
    {
        var dot = file.LastIndexOf('.');
        switch (dot < 0 ? "" : file[(dot + 1)..].ToUpperInvariant())
        {
            case "OEM": return OemFile.Read(file, text).As<IEphemeris>();
            case "OMM": return OmmFile.Read(file, text, catalogNumber).As<IEphemeris>();
            case "TLE": return TleFile.Read(file, text, catalogNumber).As<IEphemeris>();
            default:
                var errors = new FileErrors(file);
                errors.Add(0, $"an orbit file named '{file}'", "a name that ends in .oem, .omm or .tle");
                return errors.Result<IEphemeris>(() => throw new InvalidOperationException("A file with errors has no content."));
        }
    }
}
