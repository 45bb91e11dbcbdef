using System.Net;
using System.Net.Http.Headers;
using System.Net.Sockets;
using System.Text;
using Microsoft.Extensions.Options;
using Phasekeeper.Core.Notices;
using Phasekeeper.Storage;
using Phasekeeper.Web.Hosting;

namespace Phasekeeper.Web.Features.Notices;

/// <summary>
/// Sends signed requests. The address that is connected to is looked at after the name is resolved, so that no name can lead into networks that the administrator did not allow; redirects are not followed, no proxy is used,
/// and of the answer only the status counts.
/// </summary>
public sealed class WebhookSender : INoticeSender, IDisposable
{
    private readonly IOptions<PhasekeeperOptions> options;
    private readonly TimeProvider clock;
    private readonly HttpClient client;

    /// <summary>A sender.</summary>
    public WebhookSender(IOptions<PhasekeeperOptions> options, TimeProvider clock)
    {
        (this.options, this.clock) = (options, clock);
        client = new HttpClient(new SocketsHttpHandler
        {
            AllowAutoRedirect = false,
            UseProxy = false,
            UseCookies = false,
            AutomaticDecompression = DecompressionMethods.None,
            MaxResponseHeadersLength = 16,
            // No answer's body is read: the connection is closed behind it.
            MaxResponseDrainSize = 0,
            PooledConnectionLifetime = TimeSpan.FromMinutes(1),
            ConnectCallback = ConnectAsync,
        })
        {
            // The delivery's time-out counts.
            Timeout = Timeout.InfiniteTimeSpan,
        };
    }

    /// <inheritdoc/>
    public string Channel => "webhook";

    /// <inheritdoc/>
    public async Task SendAsync(NoticeMessageRow message, string? key, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(message);
        if (key is null) throw new NoticeSendException("The key of this webhook is gone. End the subscription and make a new one.", isFinal: true);
        if (NoticeTargets.UrlMistake(message.Target) is { } mistake) throw new NoticeSendException(mistake, isFinal: true);
        var body = Encoding.UTF8.GetBytes(message.Json);
        var time = clock.GetUtcNow().ToUnixTimeSeconds();
        using var request = new HttpRequestMessage(HttpMethod.Post, message.Target) { Content = new ByteArrayContent(body) };
        request.Content.Headers.ContentType = new MediaTypeHeaderValue("application/json", "utf-8");
        request.Headers.UserAgent.ParseAdd("Phasekeeper");
        request.Headers.Add(WebhookSignature.IdHeader, message.Id);
        request.Headers.Add(WebhookSignature.TimeHeader, time.ToString(System.Globalization.CultureInfo.InvariantCulture));
        request.Headers.Add(WebhookSignature.SignatureHeader, WebhookSignature.Of(key, time, body));
        try
        {
            using var answer = await client.SendAsync(request, HttpCompletionOption.ResponseHeadersRead, cancel).ConfigureAwait(false);
            var status = (int)answer.StatusCode;
            if (answer.IsSuccessStatusCode) return;
            throw new NoticeSendException(status is >= 300 and < 400 ? $"The receiver answered {status}; redirects are not followed. Subscribe with the final address." : $"The receiver answered {status}; expected 200 to 299.",
                answer.StatusCode == HttpStatusCode.Gone);
        }
        catch (HttpRequestException failed)
        {
            throw failed.InnerException as NoticeSendException ?? new NoticeSendException($"The receiver could not be reached: {failed.Message}");
        }
    }

    private async ValueTask<Stream> ConnectAsync(SocketsHttpConnectionContext context, CancellationToken cancel)
    {
        var (host, port) = (context.DnsEndPoint.Host, context.DnsEndPoint.Port);
        var networks = WebhookNetworks.Read(options.Value.Notices.WebhookNetworks);
        var found = IPAddress.TryParse(host, out var literal) ? [literal] : await Dns.GetHostAddressesAsync(host, cancel).ConfigureAwait(false);
        var isPlain = context.InitialRequestMessage.RequestUri?.Scheme == Uri.UriSchemeHttp;
        var allowed = found.Where(a => WebhookNetworks.Allows(networks, a, isPlain)).ToArray();
        if (allowed.Length == 0) throw new NoticeSendException($"The address of {host} lies in a private or local network, or it is asked for without TLS; expected https to a public address, or a network of Phasekeeper:Notices:WebhookNetworks.");
        var socket = new Socket(SocketType.Stream, ProtocolType.Tcp) { NoDelay = true };
        try
        {
            await socket.ConnectAsync(allowed, port, cancel).ConfigureAwait(false);
            return new NetworkStream(socket, ownsSocket: true);
        }
        catch
        {
            socket.Dispose();
            throw;
        }
    }

    /// <inheritdoc/>
    public void Dispose() => client.Dispose();
}
