using System.Security.Claims;
using Microsoft.AspNetCore.Authorization;
using Microsoft.AspNetCore.Http.HttpResults;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api.Access;
using Phasekeeper.Web.Features.People;

namespace Phasekeeper.Web.Api;

/// <summary>A mistake in a request, answered with problem details (RFC 9457) instead of a result.</summary>
public sealed class ApiProblemException(int status, string detail) : Exception(detail)
{
    /// <summary>HTTP status.</summary>
    public int Status { get; } = status;
}

/// <summary>Makes the problem details of each kind of refusal.</summary>
public static class ApiProblems
{
    /// <summary>400: the request itself is wrong.</summary>
    public static ApiProblemException BadRequest(string detail) => new(StatusCodes.Status400BadRequest, detail);

    /// <summary>404: what it names is not there.</summary>
    public static ApiProblemException NotFound(string kind, string name) => new(StatusCodes.Status404NotFound, ApiTexts.NotFound(kind, name));

    /// <summary>404: what it names is not there; says what is.</summary>
    public static ApiProblemException NotFound(string kind, string name, IEnumerable<string> known) =>
        new(StatusCodes.Status404NotFound, ApiTexts.UnknownName(kind, name, known));

    /// <summary>409: it cannot be done in the present state.</summary>
    public static ApiProblemException Conflict(string detail) => new(StatusCodes.Status409Conflict, detail);

    /// <summary>401 with the reason.</summary>
    public static ProblemHttpResult Unauthorized(string detail) => TypedResults.Problem(detail, statusCode: StatusCodes.Status401Unauthorized);

    /// <summary>403: the role does not reach; says what is needed.</summary>
    public static ProblemHttpResult Forbidden(Endpoint? endpoint, ClaimsPrincipal user)
    {
        var needed = endpoint?.Metadata.GetOrderedMetadata<IAuthorizeData>().LastOrDefault()?.Policy ?? "nothing that anybody has";
        var held = user.FindAll(ClaimTypes.Role).Concat(user.FindAll(PersonClaims.Scope)).Select(claim => claim.Value);
        return TypedResults.Problem(ApiTexts.RoleLacks(user.Identity?.Name ?? "nobody", string.Join(", ", held), needed), statusCode: StatusCodes.Status403Forbidden);
    }

    /// <summary>Turns an <see cref="ApiProblemException"/> of an API handler into its answer.</summary>
    public static async ValueTask<object?> AnswerProblems(EndpointFilterInvocationContext context, EndpointFilterDelegate next)
    {
        try
        {
            return await next(context);
        }
        catch (ApiProblemException problem)
        {
            return TypedResults.Problem(problem.Message, statusCode: problem.Status);
        }
        catch (AccessDeniedException denied)
        {
            return TypedResults.Problem(denied.Message, statusCode: StatusCodes.Status403Forbidden);
        }
        catch (ContinuationException problem)
        {
            return TypedResults.Problem(ApiTexts.BadContinuation(problem.Found), statusCode: StatusCodes.Status400BadRequest);
        }
    }

    /// <summary>An unknown address or method under /api is answered with problem details, elsewhere with the page for it.</summary>
    public static IApplicationBuilder UseApiStatusPages(this WebApplication app) => app.UseStatusCodePages(async status =>
    {
        var http = status.HttpContext;
        if (!http.Request.Path.StartsWithSegments("/api", StringComparison.OrdinalIgnoreCase)) return;
        var detail = http.Response.StatusCode == StatusCodes.Status404NotFound ? ApiTexts.NoSuchEndpoint(http.Request.Path) : null;
        await TypedResults.Problem(detail, statusCode: http.Response.StatusCode).ExecuteAsync(http);
    });
}
