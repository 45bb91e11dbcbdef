using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage.Tests;

/// <summary>Stores in a folder of their own, deleted at the end.</summary>
internal sealed class TempStores : IDisposable
{
    public static readonly Instant Now = Instant.FromUtc(2031, 3, 2, 8, 0, 0);

    public TempStores(string? folder = null)
    {
        Folder = folder ?? NewFolder();
        Stores = Stores.Open(Folder);
    }

    public string Folder { get; }

    public Stores Stores { get; private set; }

    public static string NewFolder() => Path.Combine(Path.GetTempPath(), "pk-store-" + Guid.NewGuid().ToString("N"));

    public static void Copy(string from, string to)
    {
        foreach (var file in Directory.EnumerateFiles(from, "*", SearchOption.AllDirectories))
        {
            var target = Path.Combine(to, Path.GetRelativePath(from, file));
            Directory.CreateDirectory(Path.GetDirectoryName(target)!);
            File.Copy(file, target);
        }
    }

    public Task Write(Action<System.Data.IDbTransaction> work) => Stores.Database.WriteAsync(work);

    public void Dispose()
    {
        Stores.Dispose();
        Directory.Delete(Folder, recursive: true);
    }
}
