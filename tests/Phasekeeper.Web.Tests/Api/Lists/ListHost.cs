using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Routing;
using Microsoft.AspNetCore.TestHost;
using Microsoft.Extensions.Hosting;
using Phasekeeper.Core.Time;
using Phasekeeper.Web.Api;
using Phasekeeper.Web.Api.Lists;

namespace Phasekeeper.Web.Tests.Api.Lists;

/// <summary>Words for <see cref="Row"/>.</summary>
public enum Verdict { Usable, NotYet }

/// <summary>A row with every kind of field that lists have.</summary>
public sealed record Row(Instant Time, int Orbit, double PhaseRad, string? Message, Verdict Verdict, IReadOnlyList<string> QualityReasons, double? SigmaMs);

/// <summary>A host with one list, to test the plumbing apart from any feature.</summary>
public sealed class ListHost : IAsyncLifetime
{
    private WebApplication? app;

    /// <summary>What the list answers.</summary>
    public IReadOnlyList<Row> Rows { get; set; } = [];

    /// <summary>Its continuation.</summary>
    public string? Next { get; set; }

    /// <summary>What the last request asked for.</summary>
    public ListRange Asked { get; private set; }

    /// <summary>Asks for the list with a query and an Accept header.</summary>
    public async Task<HttpResponseMessage> Ask(string query = "", string? accept = null)
    {
        using var request = new HttpRequestMessage(HttpMethod.Get, "/api/v1/rows" + query);
        if (accept is not null) request.Headers.TryAddWithoutValidation("Accept", accept);
        return await app!.GetTestClient().SendAsync(request);
    }

    /// <inheritdoc/>
    public async Task InitializeAsync()
    {
        var builder = WebApplication.CreateBuilder();
        builder.WebHost.UseTestServer();
        app = builder.Build();
        app.MapGroup("/api/v1").AddEndpointFilter(ApiProblems.AnswerProblems).MapGet("/rows", ([AsParameters] ListQuery query) =>
        {
            Asked = query.Read();
            return new ListResult<Row>(Rows, Next);
        });
        await app.StartAsync();
    }

    /// <inheritdoc/>
    public async Task DisposeAsync() => await app!.DisposeAsync();
}
