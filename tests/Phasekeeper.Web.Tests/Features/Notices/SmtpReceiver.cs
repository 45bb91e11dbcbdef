using System.Collections.Concurrent;
using System.Net;
using System.Net.Sockets;
using System.Text;

namespace Phasekeeper.Web.Tests.Features.Notices;

/// <summary>How a receiver behaves towards one connection.</summary>
public enum Behaviour
{
    /// <summary>Takes the message.</summary>
    Takes,
    /// <summary>Asks to come later.</summary>
    Temporary,
    /// <summary>Refuses for good.</summary>
    Permanent,
    /// <summary>Closes in the middle of the message.</summary>
    DropsInTheMiddle,
    /// <summary>Takes the message, and closes before it says so.</summary>
    DropsBeforeTheAnswer,
    /// <summary>Says nothing for ever.</summary>
    Hangs,
}

/// <summary>A small SMTP server on this machine (RFC 5321) that fails as it is told, connection by connection; without further orders it takes everything.</summary>
public sealed class SmtpReceiver : IDisposable
{
    private readonly TcpListener listener = new(IPAddress.Loopback, 0);
    private readonly ConcurrentQueue<Behaviour> orders = new();
    private readonly CancellationTokenSource end = new();
    private readonly SemaphoreSlim connected = new(0);
    private readonly ConcurrentQueue<string> taken = new();

    public SmtpReceiver(params Behaviour[] behaviour)
    {
        foreach (var b in behaviour) orders.Enqueue(b);
        listener.Start();
        _ = AcceptAsync();
    }

    public int Port => ((IPEndPoint)listener.LocalEndpoint).Port;

    /// <summary>Messages whose last line came, headers included.</summary>
    public IReadOnlyCollection<string> Taken => taken;

    /// <summary>Called when a message is there, before the server says so.</summary>
    public Action? OnTaken { get; set; }

    public Task ConnectedAsync() => connected.WaitAsync(TimeSpan.FromSeconds(60));

    private async Task AcceptAsync()
    {
        try
        {
            while (true) _ = ServeAsync(await listener.AcceptTcpClientAsync(end.Token), orders.TryDequeue(out var b) ? b : Behaviour.Takes);
        }
        catch (Exception e) when (e is OperationCanceledException or SocketException or ObjectDisposedException)
        {
            // The end of the test.
        }
    }

    private async Task ServeAsync(TcpClient client, Behaviour behaviour)
    {
        using var _ = client;
        try
        {
            using var stream = client.GetStream();
            using var reader = new StreamReader(stream, Encoding.UTF8);
            async Task Say(string line) => await stream.WriteAsync(Encoding.ASCII.GetBytes(line + "\r\n"), end.Token);
            connected.Release();
            if (behaviour == Behaviour.Hangs) await Task.Delay(Timeout.Infinite, end.Token);
            await Say("220 local.example ESMTP");
            while (await reader.ReadLineAsync(end.Token) is { } line)
            {
                var word = line.Split(' ', ':')[0].ToUpperInvariant();
                if (word == "QUIT")
                {
                    await Say("221 bye");
                    return;
                }
                if (word == "RCPT" && behaviour == Behaviour.Temporary) await Say("451 come later");
                else if (word == "RCPT" && behaviour == Behaviour.Permanent) await Say("550 no such mailbox");
                else if (word != "DATA") await Say("250 ok");
                else
                {
                    await Say("354 go on");
                    var text = new StringBuilder();
                    while (await reader.ReadLineAsync(end.Token) is { } part && part != ".")
                    {
                        text.Append(part).Append('\n');
                        if (behaviour == Behaviour.DropsInTheMiddle) return;
                    }
                    taken.Enqueue(text.ToString());
                    OnTaken?.Invoke();
                    if (behaviour == Behaviour.DropsBeforeTheAnswer) return;
                    await Say("250 taken");
                }
            }
        }
        catch (Exception e) when (e is OperationCanceledException or IOException or ObjectDisposedException)
        {
            // The sender gave up, or the end of the test.
        }
    }

    public void Dispose()
    {
        end.Cancel();
        listener.Stop();
        end.Dispose();
        connected.Dispose();
    }
}
