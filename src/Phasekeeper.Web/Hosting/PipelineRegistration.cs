using System.Data.Common;
using Microsoft.Extensions.Options;
using Phasekeeper.Core.Input;
using Phasekeeper.Demo.Scenario;
using Phasekeeper.Pipeline.Activities;
using Phasekeeper.Pipeline.Assessment;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Pipeline.Coefficients;
using Phasekeeper.Pipeline.Coefficients.Drift;
using Phasekeeper.Pipeline.Coefficients.Evidence;
using Phasekeeper.Pipeline.Coefficients.Fits;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Pipeline.Intake;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Pipeline.SignOff;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Pipeline.Thresholds;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Annotations;
using Phasekeeper.Web.Features.Flags;
using Phasekeeper.Web.Features.Orbit;
using Phasekeeper.Web.Features.Reports;
using Phasekeeper.Web.Features.SharedViews;
using Phasekeeper.Web.Features.WindCorrections;
using Phasekeeper.Web.Features.Winds;
using Phasekeeper.Web.Hosting.DemoMission;
using Phasekeeper.Web.Layout;

namespace Phasekeeper.Web.Hosting;

/// <summary>The mission behind the pages: stores, intake, engine, and the demo where no profile is named.</summary>
public static class PipelineRegistration
{
    /// <summary>Registers the mission; its folders are opened when the host starts.</summary>
    public static WebApplicationBuilder AddPhasekeeperPipeline(this WebApplicationBuilder builder)
    {
        var services = builder.Services;
        services.AddSingleton(s => Options(s).Value.Data is { Length: > 0 } data ? Stores.Open(data) : Stores.Open("data"));
        services.AddSingleton<ChangeFeed>();
        services.AddSingleton(s => MissionFolder.Load(ProfileFolder(Options(s).Value, s.GetRequiredService<Stores>())));
        services.AddSingleton(s =>
        {
            var folder = s.GetRequiredService<MissionFolder>();
            return new IntakeService(s.GetRequiredService<Stores>(), IntakeRules.Of(folder.Profile, folder.Plan), s.GetRequiredService<ChangeFeed>(), s.GetRequiredService<TimeProvider>());
        });
        services.AddSingleton<FlagSteps>();
        services.AddSingleton<FlagTalk>();
        services.AddSingleton<Features.Activities.ActivityImport>();
        services.AddSingleton(s => new ActivityDesk(s.GetRequiredService<Stores>(), s.GetRequiredService<MissionFolder>().Profile, s.GetRequiredService<ChangeFeed>(), s.GetRequiredService<TimeProvider>()));
        services.AddSingleton<ChromiumPrinter>();
        services.AddSingleton<ReportMaker>();
        services.AddHostedService<ReportSchedule>();
        services.AddSingleton<AnnotationDesk>();
        services.AddSingleton<SharedViewDesk>();
        services.AddSingleton<FlagTeams>();
        services.AddSingleton<FlagGroups>();
        services.AddSingleton<PipelineEngine>();
        services.AddSingleton<SignOffDesk>();
        services.AddHostedService<WindFigureFiller>();
        services.AddSingleton<Rehearsals>();
        services.AddSingleton<RuleDesk>();
        services.AddSingleton<KnownEvents>();
        services.AddSingleton<CoefficientDesk>();
        services.AddSingleton<ReprocessingControl>();
        services.AddSingleton<EvidenceBoard>();
        services.AddSingleton<EvidenceDesk>();
        services.AddSingleton<FitDesk>();
        services.AddSingleton(s => new DriftWatch(s.GetRequiredService<Stores>(), s.GetRequiredService<PipelineEngine>(), s.GetRequiredService<FitDesk>()) { IsOn = Options(s).Value.ProposeOnDrift });
        services.AddHostedService(s => s.GetRequiredService<PipelineEngine>());
        services.AddHostedService<EvidenceWorker>();
        services.AddHostedService<InboxWatcher>();
        services.AddHostedService<MissionStatusFollower>();
        services.AddSingleton<FringeImages>();
        services.AddSingleton<OrbitCache>();
        services.AddHostedService(s => s.GetRequiredService<OrbitCache>());
        services.AddSingleton<WindCache>();
        services.AddHostedService(s => s.GetRequiredService<WindCache>());
        services.AddSingleton<CorrectionService>();
        services.AddHostedService(s => s.GetRequiredService<CorrectionService>());
        services.AddSingleton<DemoFeeder>();
        services.AddHostedService(s => s.GetRequiredService<DemoFeeder>());
        return builder;
    }

    /// <summary>
    /// Opens data folder and profile before anything listens; false when the profile has mistakes, which are all written to the log then, or a folder cannot be opened.
    /// </summary>
    public static bool TryOpenMission(this WebApplication app)
    {
        try
        {
            app.Services.GetRequiredService<MissionFolder>();
            return true;
        }
        catch (InputException e)
        {
            app.Logger.LogCritical("The mission profile cannot be used. {Count} {Noun}:{NewLine}{Mistakes}", e.Errors.Count, e.Errors.Count == 1 ? "mistake" : "mistakes", Environment.NewLine, e.Message);
            return false;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or DbException)
        {
            app.Logger.LogCritical("The folders of the mission cannot be opened: {Reason} Expected a data folder that this program may create and write (Phasekeeper:Data, now {Data}) and a profile that it may read.",
                e.Message, Path.GetFullPath(Options(app.Services).Value.Data is { Length: > 0 } data ? data : "data"));
            return false;
        }
    }

    private static IOptions<PhasekeeperOptions> Options(IServiceProvider services) => services.GetRequiredService<IOptions<PhasekeeperOptions>>();

    private static string ProfileFolder(PhasekeeperOptions options, Stores stores)
    {
        if (options.Profile is { Length: > 0 } given) return given;
        var folder = Path.Combine(stores.Database.Folder.Root, "demo-profile");
        var exists = File.Exists(Path.Combine(folder, MissionFolder.ProfileName));
        // A forgotten setting must not open a mission's data to the demo's sign-in, nor mix invented packets into them.
        if (!exists && MissionLoader.HasOpened(stores))
            throw new InputException([new InputError("settings", "Phasekeeper:Profile", $"none, and in {stores.Database.Folder.Root} the data of a mission with a profile of its own", "the folder of that profile; or, to play the demo, another folder as Phasekeeper:Data")]);
        if (!exists) new ScenarioGenerator(DemoScenario.Default).WriteProfile(folder);
        return folder;
    }
}
