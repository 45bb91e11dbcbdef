using System.Net;
using Microsoft.AspNetCore.Authorization;
using Microsoft.AspNetCore.Components.Endpoints;
using Microsoft.AspNetCore.Mvc.Testing;
using Microsoft.AspNetCore.Routing;
using Microsoft.Extensions.DependencyInjection;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api.Access;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Api.Access;

/// <summary>
/// Every route of the program against every role. The routes come from the program's own table, so a new one is in it without anyone's doing: one that names no policy fails, and one that
/// changes something fails unless it stands in the list here with the role that it asks for.
/// </summary>
public sealed class RouteMatrixTests(WebHost host) : IClassFixture<WebHost>
{
    // Open to everybody, on purpose.
    private static readonly string[] Open = ["/healthz", "/readyz", "/metrics", "/sign-in", "/sign-in/provider", "/sign-in/provider/done"];

    // The framework's own, in Development only: files that are newer than the build. It names nothing, so it is refused to everybody.
    private const string DevelopmentFiles = "/{**path:file}";

    // What changes something, and who may.
    private static readonly Dictionary<string, string> Changes = new()
    {
        ["POST /api/v1/packets"] = Policies.Intake,
        ["POST /api/v1/flags/{id}/{step}"] = Roles.Operator,
        ["POST /api/v1/flags/steps"] = Roles.Operator,
        ["POST /api/v1/flags/{id}/comments"] = Roles.Operator,
        ["POST /api/v1/flags/{id}/links"] = Roles.Operator,
        ["DELETE /api/v1/flags/{id}/links/{other}"] = Roles.Operator,
        ["POST /api/v1/flags/{id}/plots"] = Roles.Operator,
        ["POST /api/v1/activities/"] = Roles.Operator,
        ["PUT /api/v1/activities/{id}"] = Roles.Operator,
        ["POST /api/v1/activities/{id}/cancel"] = Roles.Operator,
        ["POST /api/v1/activities/import"] = Roles.Operator,
        ["POST /api/v1/annotations/"] = Roles.Operator,
        ["POST /api/v1/annotations/{id:long}/retire"] = Roles.Operator,
        ["POST /api/v1/reports/{kind}/{first}"] = Roles.Operator,
        ["POST /api/v1/views/"] = Roles.Operator,
        ["POST /api/v1/views/{id:long}"] = Roles.Operator,
        ["POST /api/v1/views/{id:long}/retire"] = Roles.Operator,
        ["POST /api/v1/rules/rehearsals"] = Roles.Analyst,
        ["POST /api/v1/rules/proposals"] = Roles.Analyst,
        ["POST /api/v1/rules/proposals/{id}/approve"] = Roles.CalibrationLead,
        ["POST /api/v1/rules/proposals/{id}/decline"] = Roles.CalibrationLead,
        ["POST /api/v1/rules/proposals/{id}/withdraw"] = Roles.Analyst,
        ["POST /api/v1/rules/events"] = Roles.Analyst,
        ["POST /api/v1/rules/events/{id}/withdraw"] = Roles.Analyst,
        ["POST /api/v1/quarantine/{id}/retry"] = Roles.Operator,
        ["POST /api/v1/quarantine/{id}/discard"] = Roles.Operator,
        ["POST /api/v1/comparisons/"] = Roles.Analyst,
        ["DELETE /api/v1/comparisons/{id}"] = Roles.Analyst,
        ["POST /api/v1/coefficients/proposals"] = Roles.Analyst,
        ["POST /api/v1/coefficients/fits"] = Roles.Analyst,
        ["POST /api/v1/coefficients/fits/proposals"] = Roles.Analyst,
        ["POST /api/v1/coefficients/proposals/{id}/evidence"] = Roles.Analyst,
        ["POST /api/v1/coefficients/proposals/{id}/approve"] = Roles.CalibrationLead,
        ["POST /api/v1/coefficients/proposals/{id}/decline"] = Roles.CalibrationLead,
        ["POST /api/v1/coefficients/proposals/{id}/withdraw"] = Roles.Analyst,
        ["POST /api/v1/coefficients/proposals/{id}/reinstate"] = Roles.CalibrationLead,
        ["POST /api/v1/coefficients/{id}/approve"] = Roles.CalibrationLead,
        ["POST /api/v1/coefficients/{id}/decline"] = Roles.CalibrationLead,
        ["POST /api/v1/coefficients/{id}/withdraw"] = Roles.Analyst,
        ["POST /api/v1/coefficients/{id}/reinstate"] = Roles.CalibrationLead,
        ["POST /api/v1/coefficients/reprocessing/pause"] = Roles.CalibrationLead,
        ["POST /api/v1/coefficients/reprocessing/resume"] = Roles.CalibrationLead,
        ["POST /api/v1/coefficients/reprocessing/{decision}/retire"] = Roles.CalibrationLead,
        ["POST /api/v1/days/{date}/sign-off"] = Roles.Operator,
        ["POST /api/v1/orbits/{orbit}/hold"] = Roles.Operator,
        ["POST /api/v1/orbits/{orbit}/release"] = Roles.Operator,
        ["POST /api/v1/hand-over/"] = Roles.Operator,
        ["POST /api/v1/hand-over/{id}/read"] = Roles.Operator,
        ["POST /sign-out"] = Policies.SignedIn,
        ["POST /demo/role"] = Policies.SignedIn,
    };

    // Pages that ask for more than looking.
    private static readonly Dictionary<string, string> Pages = new() { ["/people"] = Roles.Administrator, ["/notices"] = Roles.Administrator, ["/account"] = Policies.SignedIn, ["/no-access"] = Policies.SignedIn };

    private static readonly Dictionary<string, string[]> Allowed = new()
    {
        [Roles.Viewer] = Roles.All.ToArray(),
        [Roles.Operator] = [Roles.Operator, Roles.Analyst, Roles.CalibrationLead, Roles.Administrator],
        [Roles.Analyst] = [Roles.Analyst, Roles.CalibrationLead, Roles.Administrator],
        [Roles.CalibrationLead] = [Roles.CalibrationLead],
        [Roles.Administrator] = [Roles.Administrator],
        [Policies.SignedIn] = Roles.All.ToArray(),
        [Policies.Intake] = [Roles.Operator, Roles.Analyst, Roles.CalibrationLead, Roles.Administrator],
        [Policies.IntakeProgress] = Roles.All.ToArray(),
    };

    private sealed record Route(RouteEndpoint Endpoint, string Method, string Template)
    {
        public bool IsPage => Endpoint.Metadata.GetMetadata<ComponentTypeMetadata>() is not null;
        public bool IsOpen => Endpoint.Metadata.GetMetadata<IAllowAnonymous>() is not null;
        public string[] Policies => [.. Endpoint.Metadata.GetOrderedMetadata<IAuthorizeData>().Select(a => a.Policy ?? "(none)")];
        public override string ToString() => $"{Method} {Template}";
    }

    [Fact]
    public void Every_route_names_a_policy_or_is_open_on_purpose()
    {
        var routes = Routes();
        Assert.True(routes.Count > 60, $"Only {routes.Count} routes were found.");
        Assert.Empty(routes.Where(r => r.IsOpen && !Open.Contains(r.Template) && !IsStaticFile(r)).Select(r => $"{r} is open to everybody"));
        Assert.Empty(routes.Where(r => !r.IsOpen && (r.Policies.Length == 0 || r.Policies.Any(p => !Policies.All.Contains(p)))).Select(r => $"{r} names no policy of {nameof(Policies)}: [{string.Join(", ", r.Policies)}]"));
    }

    [Fact]
    public void What_changes_something_asks_for_the_role_that_stands_here()
    {
        var changing = Routes().Where(r => !r.IsPage && r.Method is not ("GET" or "HEAD") && !r.Template.StartsWith("/_", StringComparison.Ordinal) && !IsStaticFile(r)).ToArray();
        var asked = changing.ToDictionary(r => r.ToString(), r => r.Policies[^1]);
        Assert.Equal(Changes.OrderBy(c => c.Key, StringComparer.Ordinal), asked.OrderBy(c => c.Key, StringComparer.Ordinal));
    }

    [Fact]
    public void Pages_ask_for_a_viewer_unless_they_stand_here()
    {
        foreach (var page in Routes().Where(r => r.IsPage && !r.IsOpen))
            Assert.True(page.Policies[^1] == Pages.GetValueOrDefault(page.Template, Roles.Viewer), $"{page} asks for {string.Join(" and ", page.Policies)}.");
    }

    [Theory]
    [InlineData(null)]
    [InlineData(Roles.Viewer)]
    [InlineData(Roles.Operator)]
    [InlineData(Roles.Analyst)]
    [InlineData(Roles.CalibrationLead)]
    [InlineData(Roles.Administrator)]
    public async Task A_role_reaches_what_it_may_and_nothing_else(string? role)
    {
        // Cookies by hand: answers that set some must not change who asks next.
        using var client = host.CreateClient(new WebApplicationFactoryClientOptions { AllowAutoRedirect = false, HandleCookies = false });
        var wrong = new List<string>();
        foreach (var route in Routes().Where(r => !r.IsOpen))
        {
            using var request = new HttpRequestMessage(new HttpMethod(route.Method), Address(route.Template));
            if (role is null) request.Headers.Add("X-Forwarded-For", "192.0.2.7");
            else request.Headers.Add("Cookie", $"{DemoAccess.RoleCookie}={role}");
            using var answer = await client.SendAsync(request, HttpCompletionOption.ResponseHeadersRead);
            var outcome = answer switch
            {
                { StatusCode: HttpStatusCode.Unauthorized } => "who",
                { StatusCode: HttpStatusCode.Redirect, Headers.Location: { } to } when to.ToString().StartsWith(AccessHandler.SignInPath + "?", StringComparison.Ordinal) => "who",
                { StatusCode: HttpStatusCode.Forbidden } when route.Template != AccessHandler.NoAccessPath => "no",
                { StatusCode: HttpStatusCode.Redirect, Headers.Location: { } to } when to.ToString() == AccessHandler.NoAccessPath => "no",
                _ => "yes",
            };
            var expected = role is null ? "who" : route.Policies.All(policy => Allowed[policy].Contains(role)) ? "yes" : "no";
            if (outcome != expected) wrong.Add($"{route}: {(int)answer.StatusCode}, {outcome} instead of {expected}");
        }
        Assert.Empty(wrong);
    }

    private List<Route> Routes() => [.. host.Services.GetRequiredService<EndpointDataSource>().Endpoints.OfType<RouteEndpoint>().SelectMany(e =>
        (e.Metadata.GetMetadata<IHttpMethodMetadata>()?.HttpMethods is { Count: > 0 } methods ? methods : ["GET"])
        // A page answers GET and, for its forms, POST; asking once is enough, since policies belong to the route.
        .Where(m => e.Metadata.GetMetadata<ComponentTypeMetadata>() is null || m == "GET")
        .Select(m => new Route(e, m, "/" + e.RoutePattern.RawText!.TrimStart('/'))))
        .Where(r => r.Template != DevelopmentFiles)];

    private static bool IsStaticFile(Route route) => route.Endpoint.Metadata.Any(m => m.GetType().Name is "StaticAssetDescriptor");

    // Any value will do: who may is decided before it is looked at.
    private static string Address(string template) => System.Text.RegularExpressions.Regex.Replace(template, @"\{[^}]*\}", "1");
}
