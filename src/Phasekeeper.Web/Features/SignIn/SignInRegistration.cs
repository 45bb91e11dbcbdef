using Microsoft.AspNetCore.Components.Authorization;
using Microsoft.AspNetCore.Identity;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.SignIn;

/// <summary>ASP.NET Core Identity's managers on our store, with cookies.</summary>
public static class SignInRegistration
{
    /// <summary>Name of the cookie.</summary>
    public const string Cookie = "phasekeeper";

    /// <summary>Shortest password, characters. No rules about kinds of characters: length is what counts (NIST SP 800-63B, section 5.1.1.2).</summary>
    public const int ShortestPassword = 12;

    /// <summary>Wrong passwords before sign-in pauses.</summary>
    public const int WrongPasswords = 5;

    /// <summary>The pause.</summary>
    public static readonly TimeSpan Pause = TimeSpan.FromMinutes(15);

    // PBKDF2-HMAC-SHA512; the OWASP password storage cheat sheet (2023) asks for 210,000.
    private const int HashIterations = 210_000;

    private static readonly TimeSpan Session = TimeSpan.FromHours(12);

    /// <summary>Registers the managers.</summary>
    public static IServiceCollection AddPhasekeeperSignIn(this IServiceCollection services)
    {
        services.AddSingleton(SignInTimes.Default);
        services.AddSingleton(AttemptRates.Default);
        services.AddSingleton<AttemptLimits>();
        services.AddSingleton<RefusedSignIns>();
        services.AddHostedService(provider => provider.GetRequiredService<RefusedSignIns>());
        services.AddIdentityCore<Person>(identity =>
        {
            identity.Password.RequiredLength = ShortestPassword;
            identity.Password.RequireDigit = identity.Password.RequireLowercase = identity.Password.RequireUppercase = identity.Password.RequireNonAlphanumeric = false;
            identity.Password.RequiredUniqueChars = 4;
            identity.Lockout.MaxFailedAccessAttempts = WrongPasswords;
            identity.Lockout.DefaultLockoutTimeSpan = Pause;
            // Letters of any script, digits, and what names of people and mail addresses have.
            identity.User.AllowedUserNameCharacters = "";
        }).AddUserStore<PersonUserStore>().AddClaimsPrincipalFactory<PersonClaimsFactory>().AddSignInManager();
        services.Configure<PasswordHasherOptions>(hasher => hasher.IterationCount = HashIterations);
        services.AddOptions<SecurityStampValidatorOptions>().Configure<SignInTimes>((stamps, times) => stamps.ValidationInterval = times.Revalidation);
        services.AddAuthentication().AddIdentityCookies();
        services.ConfigureApplicationCookie(cookie =>
        {
            cookie.Cookie.Name = Cookie;
            cookie.Cookie.HttpOnly = true;
            cookie.Cookie.SameSite = SameSiteMode.Lax;
            cookie.Cookie.SecurePolicy = CookieSecurePolicy.SameAsRequest;
            cookie.ExpireTimeSpan = Session;
            cookie.SlidingExpiration = true;
        });
        services.AddScoped<AuthenticationStateProvider, CircuitSignIn>();
        services.AddScoped<FirstAdministrator>();
        services.AddScoped<PasswordSignIn>();
        services.AddScoped<ExternalPeople>();
        return services;
    }

    /// <summary>Sees that somebody can sign in; false when the setting for it cannot be used, which stands in the log then.</summary>
    public static async Task<bool> TryMakeFirstAdministratorAsync(this WebApplication app)
    {
        await using var scope = app.Services.CreateAsyncScope();
        try
        {
            // Printed, not logged: logs are kept and sent about.
            if (await scope.ServiceProvider.GetRequiredService<FirstAdministrator>().MakeAsync() is { } shown) await Console.Out.WriteLineAsync(shown);
            return true;
        }
        catch (InvalidOperationException e)
        {
            app.Logger.LogCritical("{Reason}", e.Message);
            return false;
        }
    }
}
