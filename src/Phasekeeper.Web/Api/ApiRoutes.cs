namespace Phasekeeper.Web.Api;

/// <summary>The root of the API; each feature's …Api.cs adds its own routes.</summary>
public static class ApiRoutes
{
    /// <summary>Prefix of every call.</summary>
    public const string Prefix = "/api/v1";

    /// <summary>Maps all features' routes.</summary>
    public static void MapPhasekeeperApi(this IEndpointRouteBuilder app)
    {
        _ = app.MapGroup(Prefix).AddEndpointFilter(ApiProblems.AnswerProblems);
    }
}
