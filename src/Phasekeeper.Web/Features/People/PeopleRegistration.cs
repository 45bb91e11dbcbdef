using Microsoft.AspNetCore.Components.Server.Circuits;
using Phasekeeper.Web.Features.Account;

namespace Phasekeeper.Web.Features.People;

/// <summary>What the feature registers.</summary>
public static class PeopleRegistration
{
    /// <summary>Who works in a request or circuit.</summary>
    public static IServiceCollection AddPhasekeeperPeople(this IServiceCollection services)
    {
        services.AddHttpContextAccessor();
        services.AddScoped<CircuitOrigin>();
        services.AddScoped<CircuitHandler>(s => s.GetRequiredService<CircuitOrigin>());
        services.AddScoped<ICurrentActor, CurrentActor>();
        services.AddScoped<PeopleService>();
        services.AddScoped<AccountService>();
        return services;
    }
}
