namespace Phasekeeper.Pipeline.Intake;

/// <summary>A stream of which the beginning was read already, put together again. Reads only forward; leaves the inner stream open.</summary>
internal sealed class HeadedStream(ReadOnlyMemory<byte> head, Stream rest) : Stream
{
    private ReadOnlyMemory<byte> head = head;

    public override bool CanRead => true;
    public override bool CanSeek => false;
    public override bool CanWrite => false;
    public override long Length => throw new NotSupportedException();
    public override long Position
    {
        get => throw new NotSupportedException();
        set => throw new NotSupportedException();
    }

    public override int Read(byte[] buffer, int offset, int count) => TakeHead(buffer.AsSpan(offset, count)) is var taken and > 0 ? taken : rest.Read(buffer, offset, count);

    public override ValueTask<int> ReadAsync(Memory<byte> buffer, CancellationToken cancellationToken = default) =>
        TakeHead(buffer.Span) is var taken and > 0 ? ValueTask.FromResult(taken) : rest.ReadAsync(buffer, cancellationToken);

    public override Task<int> ReadAsync(byte[] buffer, int offset, int count, CancellationToken cancellationToken) =>
        ReadAsync(buffer.AsMemory(offset, count), cancellationToken).AsTask();

    public override void Flush() { }

    public override long Seek(long offset, SeekOrigin origin) => throw new NotSupportedException();

    public override void SetLength(long value) => throw new NotSupportedException();

    public override void Write(byte[] buffer, int offset, int count) => throw new NotSupportedException();

    private int TakeHead(Span<byte> target)
    {
        var count = Math.Min(head.Length, target.Length);
        head.Span[..count].CopyTo(target);
        head = head[count..];
        return count;
    }
}
