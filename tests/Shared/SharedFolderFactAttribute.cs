namespace Phasekeeper.Tests;

/// <summary>A test on files handed to the team beside the checkout: skipped, visibly, where they are absent.</summary>
[AttributeUsage(AttributeTargets.Method)]
public sealed class SharedFolderFactAttribute : Xunit.FactAttribute
{
    /// <summary>Needs the folder of this name.</summary>
    public SharedFolderFactAttribute(string folder)
    {
        if (ReferenceFiles.SharedFolder(folder) is null) Skip = $"The folder '{folder}' is neither beside this checkout nor in PHASEKEEPER_SHARED.";
    }
}
