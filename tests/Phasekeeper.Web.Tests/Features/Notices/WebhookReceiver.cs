using System.Collections.Concurrent;
using System.Globalization;
using System.Net;
using System.Net.Sockets;
using System.Text;

namespace Phasekeeper.Web.Tests.Features.Notices;

/// <summary>A request that came.</summary>
public sealed record HookRequest(IReadOnlyDictionary<string, string> Headers, byte[] Body);

/// <summary>A small HTTP server on this machine that answers with the given statuses in turn (0 = closes without an answer, −1 = says nothing for ever), then with 204.</summary>
public sealed class WebhookReceiver : IDisposable
{
    private readonly TcpListener listener = new(IPAddress.Loopback, 0);
    private readonly ConcurrentQueue<int> orders = new();
    private readonly CancellationTokenSource end = new();
    private readonly ConcurrentQueue<HookRequest> requests = new();

    public WebhookReceiver(params int[] statuses)
    {
        foreach (var s in statuses) orders.Enqueue(s);
        listener.Start();
        _ = AcceptAsync();
    }

    public string Address => $"http://127.0.0.1:{((IPEndPoint)listener.LocalEndpoint).Port}/hook";

    public IReadOnlyCollection<HookRequest> Requests => requests;

    private async Task AcceptAsync()
    {
        try
        {
            while (true) _ = ServeAsync(await listener.AcceptTcpClientAsync(end.Token));
        }
        catch (Exception e) when (e is OperationCanceledException or SocketException or ObjectDisposedException)
        {
            // The end of the test.
        }
    }

    private async Task ServeAsync(TcpClient client)
    {
        using var _ = client;
        try
        {
            using var stream = client.GetStream();
            var head = new StringBuilder();
            var one = new byte[1];
            while (!head.ToString().EndsWith("\r\n\r\n", StringComparison.Ordinal))
            {
                if (await stream.ReadAsync(one, end.Token) == 0) return;
                head.Append((char)one[0]);
            }
            var headers = head.ToString().Split("\r\n", StringSplitOptions.RemoveEmptyEntries).Skip(1).Select(l => l.Split(": ", 2)).ToDictionary(p => p[0], p => p[1], StringComparer.OrdinalIgnoreCase);
            var body = new byte[int.Parse(headers["Content-Length"], CultureInfo.InvariantCulture)];
            await stream.ReadExactlyAsync(body, end.Token);
            requests.Enqueue(new(headers, body));
            var status = orders.TryDequeue(out var ordered) ? ordered : 204;
            if (status == 0) return;
            if (status < 0) await Task.Delay(Timeout.Infinite, end.Token);
            // A redirect leads here again: whoever followed it would be counted twice.
            await stream.WriteAsync(Encoding.ASCII.GetBytes($"HTTP/1.1 {status} x\r\nLocation: {Address}\r\nContent-Length: 0\r\nConnection: close\r\n\r\n"), end.Token);
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
    }
}
