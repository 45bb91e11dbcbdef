using System.Collections.Concurrent;
using System.Net;
using System.Net.Security;
using System.Net.Sockets;
using System.Security.Cryptography.X509Certificates;
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

/// <summary>A small SMTP server on this machine (RFC 5321, with STARTTLS of RFC 3207 and AUTH PLAIN of RFC 4954) that fails as it is told, connection by connection; without further orders it takes everything.</summary>
public sealed class SmtpReceiver : IDisposable
{
    private readonly TcpListener listener = new(IPAddress.Loopback, 0);
    private readonly ConcurrentQueue<Behaviour> orders = new();
    private readonly CancellationTokenSource end = new();
    private readonly SemaphoreSlim connected = new(0);
    private readonly ConcurrentQueue<string> taken = new(), logins = new(), plain = new();

    public SmtpReceiver(params Behaviour[] behaviour)
    {
        foreach (var b in behaviour) orders.Enqueue(b);
        listener.Start();
        _ = AcceptAsync();
    }

    /// <summary>Certificate for TLS; null = none is offered.</summary>
    public X509Certificate2? Certificate { get; init; }

    /// <summary>Whether TLS begins with the first byte; otherwise by STARTTLS.</summary>
    public bool IsTlsFromStart { get; init; }

    /// <summary>The one password that is taken; null = no login is offered.</summary>
    public string? Password { get; init; }

    /// <summary>What came as a login (AUTH PLAIN), as it came.</summary>
    public IReadOnlyCollection<string> Logins => logins;

    /// <summary>Words of commands that came before TLS.</summary>
    public IReadOnlyCollection<string> Plain => plain;

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
            Stream stream = client.GetStream();
            var isSafe = false;
            async Task<StreamReader> SecureAsync()
            {
                var safe = new SslStream(stream);
                await safe.AuthenticateAsServerAsync(new SslServerAuthenticationOptions { ServerCertificate = Certificate }, end.Token);
                (stream, isSafe) = (safe, true);
                return new(safe, Encoding.UTF8);
            }
            var reader = IsTlsFromStart ? await SecureAsync() : new StreamReader(stream, Encoding.UTF8);
            await using var closing = stream;
            async Task Say(string line) => await stream.WriteAsync(Encoding.ASCII.GetBytes(line + "\r\n"), end.Token);
            connected.Release();
            if (behaviour == Behaviour.Hangs) await Task.Delay(Timeout.Infinite, end.Token);
            await Say("220 local.example ESMTP");
            while (await reader.ReadLineAsync(end.Token) is { } line)
            {
                var word = line.Split(' ', ':')[0].ToUpperInvariant();
                if (!isSafe) plain.Enqueue(word);
                if (word == "EHLO")
                {
                    await Say($"250-local.example{(Certificate is not null && !isSafe ? "\r\n250-STARTTLS" : "")}{(Password is null ? "" : "\r\n250-AUTH PLAIN")}\r\n250 HELP");
                    continue;
                }
                if (word == "STARTTLS")
                {
                    await Say("220 go on");
                    reader = await SecureAsync();
                    continue;
                }
                if (word == "AUTH")
                {
                    var sent = line.Split(' ')[^1];
                    logins.Enqueue(sent);
                    var isRight = Encoding.UTF8.GetString(Convert.FromBase64String(sent)).EndsWith("\0" + Password, StringComparison.Ordinal);
                    // Some servers repeat what they were told, as none should.
                    await Say(isRight ? "235 welcome" : $"535 5.7.8 no such login: {sent}");
                    continue;
                }
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
        catch (Exception e) when (e is OperationCanceledException or IOException or ObjectDisposedException or System.Security.Authentication.AuthenticationException)
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
