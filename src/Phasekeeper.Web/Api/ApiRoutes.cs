using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Account;
using Phasekeeper.Web.Features.Activities;
using Phasekeeper.Web.Features.Annotations;
using Phasekeeper.Web.Features.Channels;
using Phasekeeper.Web.Features.Coefficients;
using Phasekeeper.Web.Features.Coefficients.Proposals;
using Phasekeeper.Web.Features.Data;
using Phasekeeper.Web.Features.Days;
using Phasekeeper.Web.Features.Drift;
using Phasekeeper.Web.Features.Flags;
using Phasekeeper.Web.Features.Fringes;
using Phasekeeper.Web.Features.Intake;
using Phasekeeper.Web.Features.Notices;
using Phasekeeper.Web.Features.Orbit;
using Phasekeeper.Web.Features.Orbits;
using Phasekeeper.Web.Features.Quarantine;
using Phasekeeper.Web.Features.Record;
using Phasekeeper.Web.Features.Reports;
using Phasekeeper.Web.Features.SharedViews;
using Phasekeeper.Web.Features.Thresholds;
using Phasekeeper.Web.Features.Today;
using Phasekeeper.Web.Features.Trackers;
using Phasekeeper.Web.Features.Vouch;
using Phasekeeper.Web.Features.WindBudget;
using Phasekeeper.Web.Features.WindCompare;
using Phasekeeper.Web.Features.WindCorrections;
using Phasekeeper.Web.Features.Winds;

namespace Phasekeeper.Web.Api;

/// <summary>The root of the API; each feature's …Api.cs adds its own routes.</summary>
public static class ApiRoutes
{
    /// <summary>Prefix of every call.</summary>
    public const string Prefix = "/api/v1";

    /// <summary>Maps all features' routes.</summary>
    public static void MapPhasekeeperApi(this IEndpointRouteBuilder app)
    {
        var api = app.MapGroup(Prefix).AddEndpointFilter(ApiProblems.AnswerProblems);
        api.MapMe();
        api.MapIntake();
        // Looking asks for a viewer; what changes something asks for more at its own place.
        var view = api.MapGroup("").RequireAuthorization(Roles.Viewer);
        view.MapOrbits();
        view.MapDays();
        view.MapChannels();
        view.MapFringes();
        view.MapTrackers();
        view.MapFlags();
        view.MapActivities();
        view.MapRules();
        view.MapCoefficients();
        view.MapQuarantine();
        view.MapWinds();
        view.MapComparisons();
        view.MapZeroWind();
        view.MapWindDay();
        view.MapRecord();
        view.MapNotices();
        view.MapAnnotations();
        view.MapSharedViews();
        view.MapReports();
        // What the plots draw is shaped for them and may change with them: scripts use the calls of the contract.
        var plots = app.MapGroup(Prefix + "/plots").AddEndpointFilter(ApiProblems.AnswerProblems).AddEndpointFilter(PlotNotes.Add).ExcludeFromDescription().RequireAuthorization(Roles.Viewer);
        plots.MapTodayPlots();
        plots.MapFlagPlots();
        plots.MapRulePlots();
        plots.MapSeenPlots();
        plots.MapDataPlots();
        plots.MapChannelPlots();
        plots.MapDriftPlots();
        plots.MapOrbitPlots();
        plots.MapVouchPlots();
        plots.MapWindPlots();
        plots.MapComparePlots();
        plots.MapBudgetPlots();
        plots.MapCorrectionPlots();
        plots.MapProposalPlots();
    }
}
