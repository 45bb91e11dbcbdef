namespace Phasekeeper.Storage;

/// <summary>
/// Where everything that the program writes lies: <c>phasekeeper.db</c> (SQLite with its -wal and -shm), <c>record.anchor</c> (hashes of the record of decisions), <c>archive/</c> (packets),
/// <c>inbox/</c> (files that arrive) and <c>keys/</c> (the web host's). Created where absent.
/// </summary>
public sealed class DataFolder
{
    /// <summary>Creates the folder and its parts where absent.</summary>
    public DataFolder(string path)
    {
        ArgumentException.ThrowIfNullOrWhiteSpace(path);
        Root = Path.GetFullPath(path);
        foreach (var folder in new[] { Root, Archive, Inbox, Keys }) Directory.CreateDirectory(folder);
    }

    /// <summary>Full path of the folder.</summary>
    public string Root { get; }

    /// <summary>Name of the SQLite database in the folder.</summary>
    public const string DatabaseName = "phasekeeper.db";

    /// <summary>The SQLite database.</summary>
    public string DatabaseFile => Path.Combine(Root, DatabaseName);

    /// <summary>Packet archive.</summary>
    public string Archive => Path.Combine(Root, "archive");

    /// <summary>Files dropped here are taken in.</summary>
    public string Inbox => Path.Combine(Root, "inbox");

    /// <summary>Keys of the web host.</summary>
    public string Keys => Path.Combine(Root, "keys");
}
