using Microsoft.AspNetCore.Identity;
using Microsoft.AspNetCore.Mvc;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api;
using Phasekeeper.Web.Api.Access;
using Phasekeeper.Web.Features.Account;

namespace Phasekeeper.Web.Features.SignIn;

/// <summary>Forms of the header: sign out, and the demo's choice of a role. Both carry the antiforgery token, which the middleware checks.</summary>
public static class SignInApi
{
    /// <summary>Adds the calls.</summary>
    public static void MapSignIn(this IEndpointRouteBuilder app)
    {
        app.MapPost("/sign-out", async ([FromForm] bool? everywhere, SignInManager<Person> signIn, AccountService account) =>
        {
            // "Everywhere" also ends what is open on other machines.
            if (everywhere == true) await account.SignOutEverywhereAsync();
            await signIn.SignOutAsync();
            return TypedResults.LocalRedirect(AccessHandler.SignInPath);
        }).RequireAuthorization(Policies.SignedIn).ExcludeFromDescription();
        app.MapPost("/demo/role", ([FromForm] string? role, [FromForm] string? back, HttpContext http, DemoAccess demo) =>
        {
            if (!demo.IsOffered || !DemoAccess.Is(http.User)) return (IResult)TypedResults.Problem(ApiTexts.NotTheDemo, statusCode: StatusCodes.Status403Forbidden);
            if (role is null || !Roles.All.Contains(role)) return TypedResults.Problem(ApiTexts.UnknownWord("role", role ?? "", Roles.All), statusCode: StatusCodes.Status400BadRequest);
            http.Response.Cookies.Append(DemoAccess.RoleCookie, role, new CookieOptions { HttpOnly = true, SameSite = SameSiteMode.Strict, IsEssential = true, Path = "/" });
            return TypedResults.LocalRedirect(back is not null && ReturnAddress.IsLocal(back) ? back : "/");
        }).RequireAuthorization(Policies.SignedIn).ExcludeFromDescription();
    }
}
