using Phasekeeper.Tests;

namespace Phasekeeper.Packets.Tests;

/// <summary>A test on files handed to the team beside the checkout: skipped, visibly, where they are absent.</summary>
[AttributeUsage(AttributeTargets.Method)]
public sealed class SharedFolderFactAttribute : FactAttribute
{
    /// <summary>Needs the folder of this name.</summary>
    public SharedFolderFactAttribute(string folder)
    {
        if (ReferenceFiles.SharedFolder(folder) is null) Skip = $"The folder '{folder}' is not beside this checkout.";
    }
}
