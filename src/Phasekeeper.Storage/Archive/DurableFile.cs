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

    /// <summary>Adds ASCII text at the end of a file, which is made where there is none; on disk.</summary>
    public static void Append(string path, string text)
    {
        var isNew = !File.Exists(path);
        using (var stream = new FileStream(path, FileMode.Append, FileAccess.Write, FileShare.Read))
        {
            stream.Write(Encoding.ASCII.GetBytes(text));
            stream.Flush(flushToDisk: true);
        }
        if (isNew) SyncFolder(Path.GetDirectoryName(path)!);
    }

    /// <summary>Takes bytes away from the end of a file, on disk.</summary>
    public static void CutOff(string path, long bytes)
    {
        using var stream = new FileStream(path, FileMode.Open, FileAccess.Write, FileShare.Read);
        stream.SetLength(stream.Length - bytes);
        stream.Flush(flushToDisk: true);
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
