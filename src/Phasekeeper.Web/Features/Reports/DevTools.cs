using System.Net.WebSockets;
using System.Text.Json;
using System.Text.Json.Nodes;

namespace Phasekeeper.Web.Features.Reports;

/// <summary>The browser's answer to a command was an error.</summary>
public sealed class DevToolsException(string message) : Exception(message);

/// <summary>
/// The few commands of the Chrome DevTools Protocol (flat sessions over one web socket) that a print needs. One command at a time; events are passed over.
/// Source: the protocol's own documentation of the domains Target, Page, Network and Runtime.
/// </summary>
internal sealed class DevTools(ClientWebSocket socket, int mostBytes) : IDisposable
{
    private int sent;

    /// <summary>Session of the page; null = the browser's own.</summary>
    public string? Session { get; set; }

    public static async Task<DevTools> ConnectAsync(Uri address, int mostBytes, CancellationToken cancel)
    {
        var socket = new ClientWebSocket();
        try
        {
            await socket.ConnectAsync(address, cancel);
            return new(socket, mostBytes);
        }
        catch
        {
            socket.Dispose();
            throw;
        }
    }

    /// <summary>Sends a command and gives its result.</summary>
    /// <exception cref="DevToolsException">The browser refuses, or its answer is larger than allowed.</exception>
    public async Task<JsonObject> AskAsync(string method, JsonObject? parameters, CancellationToken cancel)
    {
        var id = ++sent;
        var command = new JsonObject { ["id"] = id, ["method"] = method, ["params"] = parameters ?? [] };
        if (Session is not null) command["sessionId"] = Session;
        await socket.SendAsync(JsonSerializer.SerializeToUtf8Bytes(command), WebSocketMessageType.Text, true, cancel);
        while (true)
        {
            var message = JsonNode.Parse(await ReceiveAsync(cancel))!.AsObject();
            if ((int?)message["id"] != id) continue;
            if (message["error"] is { } error) throw new DevToolsException($"{method}: {error["message"]}");
            return message["result"]!.AsObject();
        }
    }

    public void Dispose() => socket.Dispose();

    private async Task<byte[]> ReceiveAsync(CancellationToken cancel)
    {
        using var message = new MemoryStream();
        var buffer = new byte[64 * 1024];
        ValueWebSocketReceiveResult part;
        do
        {
            part = await socket.ReceiveAsync(buffer.AsMemory(), cancel);
            if (part.MessageType == WebSocketMessageType.Close) throw new DevToolsException("The browser closed the connection.");
            message.Write(buffer, 0, part.Count);
            if (message.Length > mostBytes) throw new DevToolsException($"The browser's answer has more than {mostBytes / 1024 / 1024} MiB; a report of at most that is kept.");
        }
        while (!part.EndOfMessage);
        return message.ToArray();
    }
}
