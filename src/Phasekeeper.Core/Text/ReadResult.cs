namespace Phasekeeper.Core.Text;

/// <summary>What came of reading a file: its content, or every mistake in it.</summary>
public sealed class ReadResult<T> where T : class
{
    private readonly T? _value;

    private ReadResult(T? value, IReadOnlyList<FileError> errors)
    {
        _value = value;
        Errors = errors;
    }

    /// <summary>The mistakes, in file order; empty when the file was read.</summary>
    public IReadOnlyList<FileError> Errors { get; }

    /// <summary>True when there is no mistake.</summary>
    public bool Ok => _value is not null;

    /// <summary>The content; throws with all mistakes when there are any.</summary>
    public T Value => _value ?? throw new FormatException(Message);

    /// <summary>All mistakes, a line each; empty when there are none.</summary>
    public string Message => string.Join('\n', Errors);

    /// <summary>The same outcome for a type that the content also has.</summary>
    public ReadResult<TBase> As<TBase>() where TBase : class => _value is null
        ? ReadResult<TBase>.Failed(Errors)
        : ReadResult<TBase>.Of(_value as TBase ?? throw new InvalidCastException($"Found {typeof(T).Name}; expected a type that is {typeof(TBase).Name}."));

    /// <summary>A file that was read.</summary>
    internal static ReadResult<T> Of(T value) => new(value, []);

    /// <summary>A file with mistakes.</summary>
    internal static ReadResult<T> Failed(IReadOnlyList<FileError> errors) => errors.Count > 0
        ? new(null, errors)
        : throw new ArgumentException("A failed reading needs at least one error that tells why.", nameof(errors));
}
