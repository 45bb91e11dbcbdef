using System.Security.Cryptography;
using Microsoft.AspNetCore.Hosting.Server;
using Microsoft.AspNetCore.Hosting.Server.Features;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api.Access;

namespace Phasekeeper.Web.Features.Reports;

/// <summary>Makes reports as PDF and puts them into the archive, with an entry in the record; one at a time. What cannot be made is kept with the reason.</summary>
public sealed class ReportMaker(Stores stores, ChromiumPrinter printer, PrintTokens tokens, IServer server, ChangeFeed changes, TimeProvider clock) : IDisposable
{
    private readonly SemaphoreSlim one = new(1);

    /// <summary>Report that is being made; null = none.</summary>
    public ReportSpan? Making { get; private set; }

    /// <summary>Makes a report; its row says whether there is a PDF.</summary>
    public async Task<ReportRow> MakeAsync(ReportSpan span, Actor actor, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(span);
        ArgumentNullException.ThrowIfNull(actor);
        await one.WaitAsync(cancel);
        try
        {
            Making = span;
            changes.Publish(ChangeKind.Report);
            // Before the print: what comes while it is printed makes it a report of before.
            var ground = ReportGround.Of(stores, span);
            var (pdf, failure) = await PrintAsync(span, cancel);
            var row = new ReportRow { Kind = span.Kind, First = span.FirstText, Made = Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime), Actor = actor.Name, Ground = ground.Hash, Versions = ground.Versions, Failure = failure };
            var id = await stores.Database.WriteAsync(t =>
            {
                var added = ReportStore.Add(t, row, pdf);
                RecordStore.Append(t, actor, RecordKinds.ReportMake, $"{span.Kind} {span.FirstText}", null, new { Report = added, row.Versions, Bytes = pdf?.Length, row.Failure }, null, row.Made);
                return added;
            }, cancel);
            return row with { Id = id, Length = pdf?.Length, Hash = pdf is null ? null : SHA256.HashData(pdf) };
        }
        finally
        {
            Making = null;
            one.Release();
            changes.Publish(ChangeKind.Report);
            changes.Publish(ChangeKind.Record);
        }
    }

    /// <inheritdoc/>
    public void Dispose() => one.Dispose();

    private async Task<(byte[]? Pdf, string? Failure)> PrintAsync(ReportSpan span, CancellationToken cancel)
    {
        var token = tokens.New();
        try
        {
            return (await printer.PrintAsync(new Uri(Address(), span.Address), token, span.Title, cancel), null);
        }
        catch (PrintException stated)
        {
            return (null, stated.Message);
        }
        finally
        {
            tokens.TakeBack(token);
        }
    }

    // This program by loopback, whatever addresses it listens on.
    private Uri Address()
    {
        foreach (var text in server.Features.Get<IServerAddressesFeature>()?.Addresses ?? [])
        {
            var address = BindingAddress.Parse(text);
            if (address.Scheme == Uri.UriSchemeHttp && !address.IsUnixPipe) return new Uri($"http://{(address.Host is "localhost" or "127.0.0.1" or "0.0.0.0" or "[::]" or "*" or "+" ? "127.0.0.1" : address.Host)}:{address.Port}/");
        }
        throw new PrintException("This program listens on no http address from which its own browser could read the report; add one on loopback, such as http://127.0.0.1:5080, to --urls.");
    }
}
