using System.Reflection;
using Microsoft.AspNetCore.Components;
using Phasekeeper.Web.Features.Account;
using Phasekeeper.Web.Features.Activities;
using Phasekeeper.Web.Features.Channels;
using Phasekeeper.Web.Features.Coefficients;
using Phasekeeper.Web.Features.Coefficients.Fits;
using Phasekeeper.Web.Features.Coefficients.Proposals;
using Phasekeeper.Web.Features.Data;
using Phasekeeper.Web.Features.Days;
using Phasekeeper.Web.Features.Drift;
using Phasekeeper.Web.Features.Flags;
using Phasekeeper.Web.Features.Notices;
using Phasekeeper.Web.Features.Orbit;
using Phasekeeper.Web.Features.People;
using Phasekeeper.Web.Features.Record;
using Phasekeeper.Web.Features.Reports;
using Phasekeeper.Web.Features.SharedViews;
using Phasekeeper.Web.Features.SignIn;
using Phasekeeper.Web.Features.Thresholds;
using Phasekeeper.Web.Features.Today;
using Phasekeeper.Web.Features.Vouch;
using Phasekeeper.Web.Features.WindBudget;
using Phasekeeper.Web.Features.WindCompare;
using Phasekeeper.Web.Features.WindCorrections;
using Phasekeeper.Web.Features.Winds;
using Phasekeeper.Web.Layout;

namespace Phasekeeper.Web.Features.Help;

/// <summary>Which words of help belong to which page: the line above every page shows them. A new page needs an entry here.</summary>
/// <param name="Page">The page.</param>
/// <param name="Words">Its words, most needed first; the first three are named beside the fold on a wide screen.</param>
/// <param name="WhyNone">Why a page has no words of its own; null where it has some.</param>
public sealed record PageWords(Type Page, IReadOnlyList<HelpWord> Words, string? WhyNone)
{
    /// <summary>All pages of the program.</summary>
    public static readonly IReadOnlyList<PageWords> All =
    [
        Has<TodayPage>("verdict", "residual", "held", "completeness", "sign-off", "flag", "quarantine", "provisional", "beta angle", "mission time"),
        Has<DayPage>("sign-off", "verdict", "held", "residual", "completeness", "quality", "hand-over note", "flag"),
        Has<OrbitPage>("residual", "image shift", "visibility", "held", "verdict", "exposure", "row", "view", "fiducial", "zero-wind phase", "ascending node", "eclipse", "beta angle", "tangent point", "provisional", "coefficient set", "pinned note"),
        Has<WindsPage>("quality", "held", "provisional", "view", "line", "tangent point", "averaging kernel", "ascending node", "eclipse", "coefficient set"),
        Has<ComparePage>("quality", "held", "line", "ascending node", "provisional"),
        Has<BudgetPage>("error budget", "zero wind", "image shift", "lamp ratio", "quality", "held", "averaging kernel"),
        Has<CorrectionsPage>("zero-wind phase", "lamp ratio", "image shift", "OPD", "quality", "held", "coefficient set"),
        Has<DriftPage>("tracker", "residual", "visibility", "image shift", "lamp ratio", "zero wind", "beta angle", "forecast", "provisional", "coefficient set", "pinned note"),
        Has<CoefficientsPage>("coefficient set", "evidence", "held out", "zero-wind phase", "lamp ratio", "image shift", "visibility", "ascending node"),
        Has<FitPage>("held out", "residual", "coefficient set", "evidence", "lamp ratio", "zero-wind phase", "image shift", "fiducial"),
        Has<ProposalPage>("evidence", "held out", "residual", "coefficient set", "zero-wind phase", "lamp ratio", "image shift", "visibility"),
        Has<ChannelsPage>("channel", "housekeeping", "pinned note", "eclipse", "ascending node", "mission time"),
        Has<VouchPage>("zero wind", "averaging kernel", "held", "quality", "view", "line", "ascending node", "zero-wind phase"),
        Has<FlagsPage>("flag", "residual", "provisional", "expected flag", "planned activity", "overrun", "escalation"),
        Has<FlagPage>("flag", "evidence", "residual", "expected flag", "settling time", "overrun", "rehearsal", "coefficient set", "escalation"),
        Has<ActivitiesPage>("planned activity", "expected flag", "settling time", "overrun"),
        Has<RulesPage>("rehearsal", "known event", "flag", "tracker", "channel"),
        Has<RulePage>("rehearsal", "known event", "flag", "tracker", "channel"),
        Has<RuleProposalPage>("rehearsal", "known event", "evidence", "flag"),
        Has<ReportsPage>("ground of a report", "sign-off", "verdict"),
        Has<ReportPage>("ground of a report", "verdict", "sign-off", "held", "residual", "error budget", "completeness", "hand-over note", "provisional", "pinned note"),
        Has<ViewsPage>("shared view", "pinned note", "mission time"),
        Has<DataPage>("quarantine", "completeness", "exposure", "row", "housekeeping", "provisional", "mission time"),
        Has<NoticesPage>("escalation", "digest", "quiet hours", "webhook", "flag"),
        Has<MyNoticesPage>("digest", "quiet hours", "escalation", "webhook", "flag"),
        Has<PeoplePage>("role", "token"),
        Has<AccountPage>("token", "role", "digest", "quiet hours"),
        Has<RecordPage>("chain", "sign-off", "coefficient set", "held", "token"),
        Has<RecordEntryPage>("chain", "role"),
        Has<NoAccessPage>("role"),
        None<HelpPage>("It is the page on which all words stand."),
        None<SignInPage>("Who is not signed in learns nothing of the mission; it asks for a name and a password."),
        None<NotFoundPage>("It says one thing: there is no such page."),
    ];

    private static readonly Dictionary<Type, PageWords> ByPage = All.ToDictionary(entry => entry.Page);

    /// <summary>Routes that lead to the page.</summary>
    public IEnumerable<string> Routes => Page.GetCustomAttributes<RouteAttribute>().Select(route => route.Template);

    /// <summary>The entry of a page; null for a page that has none.</summary>
    /// <param name="page">Type of the page.</param>
    public static PageWords? Of(Type page) => ByPage.GetValueOrDefault(page);

    private static PageWords Has<TPage>(params string[] words) where TPage : IComponent => new(typeof(TPage), [.. words.Select(Find<TPage>)], null);

    private static PageWords None<TPage>(string why) where TPage : IComponent => new(typeof(TPage), [], why);

    private static HelpWord Find<TPage>(string word) => HelpWord.All.FirstOrDefault(known => known.Word == word)
        ?? throw new InvalidOperationException($"{typeof(TPage).Name} names the word “{word}”, which {nameof(HelpWord)} does not explain: add its meaning there, or name one that it has.");
}
