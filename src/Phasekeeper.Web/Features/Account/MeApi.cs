using Phasekeeper.Web.Api.Access;
using Phasekeeper.Web.Features.People;

namespace Phasekeeper.Web.Features.Account;

/// <summary>Who asks, as the program sees it.</summary>
/// <param name="Name">Name that stands beside decisions.</param>
/// <param name="Role">Role that stands beside decisions.</param>
public sealed record MeItem(string Name, string Role);

/// <summary>Lets a script see what its token is good for.</summary>
public static class MeApi
{
    /// <summary>Adds the call.</summary>
    public static void MapMe(this IEndpointRouteBuilder api) => api.MapGet("/me", async (ICurrentActor current) => new MeItem((await current.GetAsync()).Name, (await current.GetAsync()).Role))
        .RequireAuthorization(Policies.SignedIn).WithTags("Access").WithName("getMe").WithSummary("Who asks, and in which role: what a token is good for.");
}
