namespace Phasekeeper.Core.Text;

/// <summary>Collects the mistakes of one file while it is read, so that they are reported together.</summary>
internal sealed class FileErrors(string file)
{
    private readonly List<FileError> _errors = [];

    /// <summary>Name of the file.</summary>
    public string File { get; } = file;

    /// <summary>How many there are so far.</summary>
    public int Count => _errors.Count;

    /// <summary>Notes a mistake.</summary>
    public void Add(int line, string found, string expected) => _errors.Add(new(File, line, found, expected));

    /// <summary>The value when nothing was noted, else the mistakes in file order.</summary>
    public ReadResult<T> Result<T>(Func<T> value) where T : class =>
        Count == 0 ? ReadResult<T>.Of(value()) : ReadResult<T>.Failed(_errors.OrderBy(e => e.Line).ToList());
}
