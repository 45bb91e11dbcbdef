using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Flags;

namespace Phasekeeper.Web.Features.Notices;

/// <summary>What the feature registers.</summary>
public static class NoticesRegistration
{
    /// <summary>Making and delivering of messages, each in a loop of its own, and what people do about them.</summary>
    public static IServiceCollection AddPhasekeeperNotices(this IServiceCollection services)
    {
        services.AddSingleton<NoticeKeys>();
        services.AddSingleton<INoticeSender, MailSender>();
        services.AddSingleton<INoticeSender, WebhookSender>();
        services.AddSingleton(s => new NoticeNeed(s.GetRequiredService<Stores>(), () => s.GetRequiredService<FlagTeams>().Current().People.Select(p => p.Name)));
        services.AddSingleton<NoticeGatherer>();
        services.AddSingleton<NoticeDelivery>();
        services.AddScoped<NoticeDesk>();
        services.AddHostedService<NoticeGatherLoop>();
        services.AddHostedService<NoticeDeliveryLoop>();
        return services;
    }
}
