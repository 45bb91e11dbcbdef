using System.Reflection;

namespace Phasekeeper.Pipeline;

/// <summary>Version of the program that products carry.</summary>
public static class SoftwareVersion
{
    /// <summary>e.g. 0.1.0.</summary>
    public static string Current { get; } =
        typeof(SoftwareVersion).Assembly.GetCustomAttribute<AssemblyInformationalVersionAttribute>()?.InformationalVersion.Split('+')[0] ?? "unknown";
}
