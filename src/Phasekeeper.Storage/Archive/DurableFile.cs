using System.Runtime.InteropServices;
using System.Text;

namespace Phasekeeper.Storage;

/// <summary>File operations that have reached the disk when they return.</summary>
internal static class DurableFile
{
    // O_DIRECTORY of Linux on x64 (0x10000) and arm64 (0x4000) differs; plain O_RDONLY opens a folder on every POSIX system.
    private const int ReadOnly = 0;

    /// <summary>Writes a new file: content, then its name, on disk.</summary>
    public static void Write(string path, ReadOnlySpan<byte> content)
    {
        var folder = Path.GetDirectoryName(path)!;
        CreateFolder(folder);
        using (var stream = new FileStream(path, FileMode.Create, FileAccess.Write, FileShare.Read))
        {
            stream.Write(content);
            stream.Flush(flushToDisk: true);
        }
        SyncFolder(folder);
    }

    /// <summary>Renames within a folder, on disk.</summary>
    public static void Rename(string from, string to)
    {
        File.Move(from, to, overwrite: true);
        SyncFolder(Path.GetDirectoryName(to)!);
    }

    private static void CreateFolder(string folder)
    {
        if (Directory.Exists(folder)) return;
        var parent = Path.GetDirectoryName(folder)!;
        CreateFolder(parent);
        Directory.CreateDirectory(folder);
        SyncFolder(parent);
    }

    // A new or renamed entry survives a power cut only when its folder is synced (POSIX); NTFS journals its folders itself.
    private static void SyncFolder(string folder)
    {
        if (OperatingSystem.IsWindows()) return;
        var descriptor = Open(Encoding.UTF8.GetBytes(folder + '\0'), ReadOnly);
        if (descriptor < 0) throw new IOException($"The folder {folder} cannot be opened to sync it (errno {Marshal.GetLastPInvokeError()}).");
        var failed = Sync(descriptor) != 0;
        var error = Marshal.GetLastPInvokeError();
        _ = Close(descriptor);
        if (failed) throw new IOException($"The folder {folder} cannot be synced (errno {error}): its newest file might not survive a power cut.");
    }

    [DllImport("libc", EntryPoint = "open", SetLastError = true)]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern int Open(byte[] path, int flags);

    [DllImport("libc", EntryPoint = "fsync", SetLastError = true)]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern int Sync(int descriptor);

    [DllImport("libc", EntryPoint = "close", SetLastError = true)]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern int Close(int descriptor);
}
